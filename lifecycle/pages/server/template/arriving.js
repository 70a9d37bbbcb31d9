// Presses the button of a page that is drawn, so that it is sent once more what came meanwhile.
(function () {
  const look = setInterval(function () {
    const button = document.querySelector("button.lc-arrived");
    if (button) { clearInterval(look); button.click(); }
  }, 50);
  setTimeout(function () { clearInterval(look); }, 300000);
})();
