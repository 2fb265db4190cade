/** The country that the reader's language names, as a first guess. */

export function countryOfReader(): string {
  try {
    return new Intl.Locale(navigator.language).maximize().region ?? "GB";
  } catch {
    return "GB";
  }
}
