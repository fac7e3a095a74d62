"""What a pencil line may say."""
