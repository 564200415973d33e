// Looks for a newer draft and shows it in place of this one.
(function () {
  "use strict";
  var shown = null;
  function look() {
    fetch("/-/now", { cache: "no-store" })
      .then(function (answer) { return answer.json(); })
      .then(function (now) {
        if (shown === null) { shown = now.version; }
        if (now.version !== shown) { location.reload(); }
      })
      .catch(function () { /* the program was stopped: the page stays as it is */ });
  }
  look();
  setInterval(look, 1000);
})();
