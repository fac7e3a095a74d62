function told(line, values) {
  return WORDS[line].replace(/\{(\w+)\}/g, function (whole, name) { return values[name]; });
}
