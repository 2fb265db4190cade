/** How things that can fail, services, cuts and minutes are said on this sheet. */

import { duration, number, type Reader, significant } from "../../document/format.ts";
import { borne, endDigits, minutesAYear, shownDigits, upDecimals } from "../../document/staying.ts";
import type {
  Alternative,
  ComponentKind,
  CutSet,
  Design,
  Interval,
  JobDocument,
  Member,
  ServiceRow,
  Source,
} from "../../engine/types.ts";
import type { CauseShape } from "../../plan/CauseGlyph.tsx";
import { partKind, partTag } from "../../plan/parts.ts";
import { text } from "../../text.ts";

const t = text.resilience;

/** What names are taken from. */
export interface Known {
  document: JobDocument;
  design: Design;
  reader: Reader;
}

type Thing = Pick<Member, "id" | "kind">;

export function shapeOf({ id, kind }: Thing, design: Design): CauseShape {
  if (kind !== "part") return kind;
  const part = design.parts.find((placed) => placed.id === id);
  return part && partKind(part.part) === "battery" ? "battery" : "part";
}

export function kindName(thing: Thing, design: Design): string {
  return t.kinds[shapeOf(thing, design)];
}

function lineName(id: string, document: JobDocument): string {
  const kind = document.site.lines?.find((line) => line.id === id)?.kind;
  if (kind === undefined) return t.names.line(id);
  const word = text.newHome.line[kind];
  // Abbreviations keep their capitals.
  return `${/^[A-Z]{2}/.test(word) ? word : word.toLowerCase()} ${id.startsWith("line") ? id : t.names.line(id)}`;
}

/** A link by its two ends. */
function linkName(id: string, design: Design, name: (from: string, to: string) => string): string {
  const link = design.links?.find((known) => known.id === id);
  return link ? name(partTag(link.from), partTag(link.to)) : id;
}

export function thingName({ id, kind }: Thing, { document, design }: Known): string {
  switch (kind) {
    case "mains":
      return t.names.mains;
    case "circuit":
      return t.names.circuit(document.building.circuits.find((circuit) => circuit.id === id)?.name ?? id);
    case "line":
      return lineName(id, document);
    case "line-backup":
      return t.names["line-backup"](lineName(id, document));
    case "cable":
      return linkName(id, design, t.names.cable);
    case "radio":
      return linkName(id, design, t.names.radio);
    case "shared-way":
      return t.names["shared-way"](id);
    case "part":
    case "device":
      return partTag(id);
  }
}

/** That a thing is down, as part of a sentence. */
export function failText(member: Member, known: Known): string {
  const name = thingName(member, known);
  const what =
    member.kind === "mains"
      ? t.fails.mains
      : member.kind === "circuit"
        ? t.fails.out(name)
        : member.kind === "line-backup"
          ? t.fails["line-backup"](lineName(member.id, known.document))
          : t.fails.other(name);
  const longer = member.longer_than_min;
  return longer === null || longer === 0 ? what : t.fails.longer(what, duration(60 * longer, known.reader));
}

export function cutText(cut: CutSet, known: Known): string {
  return t.together(cut.members.map((member) => failText(member, known)));
}

const isTag = ({ kind }: Thing): boolean => kind === "part" || kind === "device";

/** A thing's name for the start of a line; what is a tag stays as the drawing has it. */
export function thingTitle(thing: Thing, known: Known): string {
  const name = thingName(thing, known);
  return isTag(thing) ? name : sentence(name);
}

/** A cut as a line of its own. */
export function cutTitle(cut: CutSet, known: Known): string {
  const [first] = cut.members;
  const said = cutText(cut, known);
  return first && isTag(first) ? said : sentence(said);
}

/** First letter in capitals. */
function sentence(words: string): string {
  return words.charAt(0).toLocaleUpperCase() + words.slice(1);
}

export function serviceName(service: Pick<ServiceRow, "id" | "kind">, { document }: Known): string {
  switch (service.kind) {
    case "internet":
      return t.internet;
    case "connection":
      return t.connection(partTag(service.id));
    case "activity": {
      const activity = document.household?.activities?.find(({ id }) => id === service.id);
      if (!activity) return service.id;
      return t.activity(text.activityKinds[activity.kind] ?? activity.kind, partTag(activity.device));
    }
  }
}

/** A number with as many significant digits as are asked for, and no noise behind them. */
export function plainNumber(value: number, digits: number, reader: Reader): string {
  const shown = significant(value, digits);
  if (shown === 0) return number(0, reader);
  const decimals = digits - 1 - Math.floor(Math.log10(Math.abs(shown)));
  return number(shown, reader, Math.min(4, Math.max(0, decimals)));
}

/** Minutes a year with no more digits than they bear. */
export function minutesValue(minutes: Interval, reader: Reader): string {
  return plainNumber(borne(minutes).value, shownDigits(minutes), reader);
}

export function minutesRange(minutes: Interval, reader: Reader): string {
  const { low, high } = borne(minutes);
  return t.between(plainNumber(low, endDigits, reader), plainNumber(high, endDigits, reader));
}

/** Minutes that came without an interval: two digits. */
export function roughMinutes(minutes: number, reader: Reader): string {
  return t.minutes(plainNumber(minutes, 2, reader));
}

/** The share of time up, with the decimals that the minutes down bear. */
export function upShare(minutes: Interval, reader: Reader): string {
  const digits = shownDigits(minutes);
  const up = 1 - significant(minutes.value, digits) / minutesAYear;
  return `${number(100 * up, reader, upDecimals(minutes.value, digits))}\u00a0%`;
}

export function alternativeText({ kind, by }: Alternative): string {
  return t.service.alternative[kind](partTag(by));
}

export function sourceText(source: Source): string {
  return source.from_memory ? `${source.cite}, ${t.fromMemory}` : source.cite;
}

export const kindOrder: readonly ComponentKind[] = [
  "mains",
  "circuit",
  "line",
  "line-backup",
  "part",
  "cable",
  "radio",
  "shared-way",
  "device",
];
