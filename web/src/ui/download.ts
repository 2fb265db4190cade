/** Hands a text to the reader as a file. */
export function download(name: string, content: string, type = "text/csv;charset=utf-8"): void {
  // The mark at the start tells spreadsheets that the text is UTF-8.
  const address = URL.createObjectURL(new Blob(["\ufeff", content], { type }));
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  link.click();
  // The browser has taken it by then.
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
