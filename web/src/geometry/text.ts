// How wide a text is, from a table of advance widths, so that labels can be placed without touching the page. The table
// holds printable ASCII and Latin-1 of IBM Plex Sans (SIL OFL 1.1), read from the font files' `hmtx` tables, in
// thousandths of the type size. Any other character counts as wide. Kerning is left out: it only makes text narrower.

export type Weight = 400 | 500 | 600;

/** A face: proportional text, or figures of one width. */
export interface Face {
  readonly family: "text" | "figure";
  readonly weight: Weight;
  /** Type size [px]. */
  readonly size: number;
}

/** Advance width of every glyph of IBM Plex Mono [1/1000 of the type size]. */
const MONO = 600;
/** Width given to a character that is not in the table [1/1000 of the type size]. */
const OTHER = 1000;
/** What is added in case another typeface stands in for the one measured. */
const SAFETY = 1.03;
/** Height of capitals and figures, and of a line's box, as parts of the type size (font files' `OS/2` and `hhea`). */
export const CAP_HEIGHT = 0.698;
export const LINE_HEIGHT = 1.2;

const SANS: Record<Weight, readonly number[]> = {
  400: [
    236, 284, 419, 713, 598, 927, 694, 242, 335, 335, 450, 600, 272, 399, 272, 383, 600, 600, 600, 600, 600,
    600, 600, 600, 600, 600, 292, 292, 600, 600, 600, 477, 891, 641, 653, 621, 671, 583, 559, 695, 707, 400,
    510, 634, 501, 812, 707, 708, 606, 708, 640, 581, 572, 678, 609, 891, 613, 593, 580, 317, 383, 317, 600,
    565, 600, 534, 580, 503, 580, 549, 324, 528, 568, 250, 250, 527, 272, 873, 568, 560, 580, 580, 367, 487,
    351, 568, 492, 768, 507, 499, 464, 343, 314, 343, 600, 236, 284, 514, 595, 612, 605, 314, 586, 600, 776,
    399, 513, 600, 0, 476, 600, 468, 600, 346, 346, 600, 573, 652, 326, 600, 359, 398, 513, 847, 872, 824,
    467, 641, 641, 641, 641, 641, 641, 907, 621, 583, 583, 583, 583, 400, 400, 400, 400, 674, 707, 708, 708,
    708, 708, 708, 600, 708, 678, 678, 678, 678, 593, 606, 640, 534, 534, 534, 534, 534, 534, 864, 503, 549,
    549, 549, 549, 250, 250, 250, 250, 555, 568, 560, 560, 560, 560, 560, 600, 568, 568, 568, 568, 568, 499,
    580, 499,
  ],
  500: [
    236, 299, 451, 678, 599, 947, 706, 253, 336, 336, 514, 600, 288, 401, 288, 416, 600, 600, 600, 600, 600,
    600, 600, 600, 600, 600, 308, 308, 600, 600, 600, 487, 896, 660, 659, 634, 682, 593, 570, 705, 714, 414,
    531, 660, 513, 815, 714, 711, 627, 711, 655, 599, 577, 685, 627, 926, 639, 617, 592, 324, 416, 324, 600,
    561, 600, 549, 592, 509, 592, 555, 340, 538, 580, 265, 265, 548, 285, 882, 580, 562, 592, 592, 383, 494,
    365, 580, 512, 799, 530, 514, 487, 355, 352, 355, 600, 236, 299, 530, 589, 619, 624, 352, 579, 600, 783,
    420, 532, 600, 0, 471, 600, 469, 600, 346, 346, 600, 585, 663, 340, 600, 353, 413, 532, 843, 866, 826,
    479, 660, 660, 660, 660, 660, 660, 933, 634, 593, 593, 593, 593, 414, 414, 414, 414, 686, 714, 711, 711,
    711, 711, 711, 600, 711, 685, 685, 685, 685, 617, 627, 662, 549, 549, 549, 549, 549, 549, 864, 509, 555,
    555, 555, 555, 265, 265, 265, 265, 575, 580, 562, 562, 562, 562, 562, 600, 570, 580, 580, 580, 580, 514,
    592, 514,
  ],
  600: [
    236, 309, 471, 656, 600, 960, 713, 260, 337, 337, 556, 600, 299, 402, 299, 437, 600, 600, 600, 600, 600,
    600, 600, 600, 600, 600, 319, 319, 600, 600, 600, 493, 899, 672, 663, 642, 689, 600, 577, 712, 719, 423,
    545, 678, 521, 817, 719, 712, 641, 712, 664, 611, 580, 689, 638, 949, 655, 632, 599, 329, 437, 329, 600,
    559, 600, 559, 600, 513, 600, 558, 350, 545, 588, 275, 275, 562, 294, 888, 588, 563, 600, 600, 393, 499,
    374, 588, 524, 819, 544, 524, 502, 363, 376, 363, 600, 236, 309, 541, 586, 623, 637, 376, 574, 600, 787,
    434, 545, 600, 0, 468, 600, 469, 600, 347, 345, 600, 593, 670, 349, 600, 348, 423, 545, 840, 863, 827,
    486, 672, 672, 672, 672, 672, 672, 950, 642, 600, 600, 600, 600, 423, 423, 423, 423, 694, 719, 712, 712,
    712, 712, 712, 600, 712, 689, 689, 689, 689, 632, 641, 677, 559, 559, 559, 559, 559, 559, 864, 513, 558,
    558, 558, 558, 275, 275, 275, 275, 589, 588, 563, 563, 563, 563, 563, 600, 571, 588, 588, 588, 588, 524,
    600, 524,
  ],
};

/** Characters outside Latin-1 that drawings use, the same in all three weights. */
const MARKS: Readonly<Record<string, number>> = {
  "\u2212": 600,
  "\u2013": 588,
  "\u2014": 780,
  "\u2019": 292,
  "\u2032": 260,
  "\u2033": 471,
};

/** Width of a text on one line [px]. */
export function textWidth(text: string, face: Face): number {
  let sum = 0;
  for (const character of text) sum += face.family === "figure" ? MONO : advance(character, face.weight);
  return (sum / 1000) * face.size * SAFETY;
}

function advance(character: string, weight: Weight): number {
  const code = character.codePointAt(0) ?? 0;
  const index = code >= 32 && code < 127 ? code - 32 : code >= 0xa0 && code <= 0xff ? code - 0xa0 + 95 : -1;
  return SANS[weight][index] ?? MARKS[character] ?? OTHER;
}

/** Breaks a text between words into at most two lines, as even as can be; one line if it has one word. */
export function inTwoLines(text: string, face: Face): string[] {
  const words = text.split(" ");
  let best = [text];
  let width = Infinity;
  for (let i = 1; i < words.length; i++) {
    const lines = [words.slice(0, i).join(" "), words.slice(i).join(" ")];
    const w = Math.max(...lines.map((line) => textWidth(line, face)));
    if (w < width) {
      best = lines;
      width = w;
    }
  }
  return best;
}

/** A text cut to a width, with an ellipsis. */
export function shortened(text: string, most: number, face: Face): string {
  if (textWidth(text, face) <= most) return text;
  let cut = text;
  while (cut.length > 1 && textWidth(`${cut}\u2026`, face) > most) cut = cut.slice(0, -1).trimEnd();
  return `${cut}\u2026`;
}
