// Runs before the first paint, so that a remembered theme never flashes the other one.
(() => {
  try {
    const theme = localStorage.getItem("wallplate.theme");
    if (theme === "light" || theme === "dark") document.documentElement.dataset.theme = theme;
  } catch {
    // No storage: the system's theme holds.
  }
})();
