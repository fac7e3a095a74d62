(() => {
  "use strict";
  var trees = Array.from(document.querySelectorAll("article.tree")), front = document.querySelector("[data-front]"), title = document.title;
  function show() {
    var tag = decodeURIComponent(location.hash.slice(1));
    var one = tag && trees.find(tree => tree.id === tag);
    trees.forEach(tree => { tree.hidden = tree !== one; });
    front.hidden = Boolean(one);
    document.title = (one && one.dataset.title) || title;
    if (one) one.scrollIntoView();
    if (!one) window.scrollTo(0, 0);
  }
  window.addEventListener("hashchange", show);
  show();
})();
