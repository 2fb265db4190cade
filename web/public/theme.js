// Runs before the first paint, so that the wrong theme never flashes: the remembered one, or the system's.
(() => {
  const dark = matchMedia("(prefers-color-scheme: dark)");
  let chosen = null;
  try {
    chosen = localStorage.getItem("wallplate.theme");
  } catch {
    // No storage: the system's theme holds.
  }
  const apply = () => {
    const isChosen = chosen === "light" || chosen === "dark";
    document.documentElement.dataset.theme = isChosen ? chosen : dark.matches ? "dark" : "light";
  };
  apply();
  dark.addEventListener("change", apply);
  // The switch on the page says what was chosen.
  addEventListener("wallplate-theme", (event) => {
    chosen = event.detail;
    apply();
  });
})();
