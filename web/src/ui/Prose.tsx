/** A sentence from the server. What it quotes in backticks, such as an id, is set as code. */

export function Prose({ text }: { text: string }) {
  const parts = text.split("`");
  // An unpaired backtick is left as it is.
  if (parts.length % 2 === 0) return text;
  return parts.map((part, index) =>
    // biome-ignore lint/suspicious/noArrayIndexKey: the parts of one sentence have no other identity
    index % 2 === 1 ? <code key={index}>{part}</code> : part,
  );
}
