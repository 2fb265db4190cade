/** What is known of the thing that is selected, and what can be changed of it. */

import type { ReactNode } from "react";
import type { Selected } from "../../document/address.ts";
import { area, length, type Reader, smallLength } from "../../document/format.ts";
import { find, type NamedAssembly, wallAssemblies } from "../../document/storeys.ts";
import type { Design, Edit, House, JobDocument } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { Field } from "../../ui/Field.tsx";
import { nameOf, targetText } from "./RoomsTable.tsx";

const t = text.house;

interface Props {
  selected: Selected | null;
  house: House;
  document: JobDocument;
  design: Design | null;
  unsent: readonly Edit[];
  reader: Reader;
  onAssembly(wall: string, assembly: string, name: string): void;
  onClear(): void;
}

type Line = [label: string, value: string];

export function Details(props: Props) {
  const content = describe(props);
  return (
    <section className="details" aria-labelledby="details-title">
      <div className="details-head">
        <h2 id="details-title" className="margin-title">
          {content?.title ?? t.selected}
        </h2>
        {content && (
          <button type="button" className="button quiet" onClick={props.onClear}>
            {t.clear}
          </button>
        )}
      </div>
      {content ? (
        <>
          <dl className="lines">
            {content.lines.map(([label, value]) => (
              <div key={label}>
                <dt>{label}</dt>
                <dd>{value}</dd>
              </div>
            ))}
          </dl>
          {content.more}
        </>
      ) : (
        <p className="quiet-line">{t.nothing}</p>
      )}
    </section>
  );
}

function describe(props: Props): { title: string; lines: Line[]; more?: ReactNode } | null {
  const { selected, house, design, unsent, reader } = props;
  if (!selected) return null;
  if (selected.kind === "part") {
    const part = design?.parts.find((p) => p.id === selected.id);
    if (!part) return null;
    const room = find(house, "room", part.room);
    return {
      title: part.id,
      lines: [
        [t.part, part.kept ? `${part.part}, ${t.kept}` : part.part],
        [t.mounted, t.mounting[part.mounting]],
        [t.inRoom, room?.kind === "room" ? nameOf(room.element, unsent) : part.room],
      ],
    };
  }
  const found = find(house, selected.kind, selected.id);
  if (!found) return null;
  const storey: Line = [t.storey, found.storey.name];
  switch (found.kind) {
    case "room": {
      const room = found.element;
      return {
        title: nameOf(room, unsent),
        lines: [
          storey,
          [t.use, room.use],
          [t.area, area(room.area_m2, reader)],
          [t.target, targetText(room, reader)],
          [t.ceiling, length(found.storey.ceiling_z - found.storey.floor_z, reader)],
        ],
      };
    }
    case "wall": {
      const wall = found.element;
      const choices = choicesOf(wall.id, house, props.document);
      return {
        title: t.wall[wall.kind],
        lines: [
          storey,
          [t.length, length(wall.length_m, reader)],
          [t.thickness, smallLength(wall.thickness_m, reader)],
          ...(choices.length > 0 ? [] : [[t.assembly, wall.assembly_name] satisfies Line]),
        ],
        more: choices.length > 0 && (
          <AssemblyPicker
            choices={choices}
            assembly={wall.assembly}
            onChange={(choice) => props.onAssembly(wall.id, choice.id, choice.name)}
          />
        ),
      };
    }
    case "opening": {
      const opening = found.element;
      const [dx, dy] = [opening.to[0] - opening.from[0], opening.to[1] - opening.from[1]];
      return {
        title: t.opening[opening.kind],
        lines: [
          storey,
          [t.width, length(Math.hypot(dx, dy), reader)],
          [t.sill, length(opening.sill_m, reader)],
          [t.head, length(opening.head_m, reader)],
        ],
      };
    }
    case "outlet": {
      const outlet = found.element;
      return { title: t.outlet[outlet.kind], lines: [storey, [t.height, length(outlet.height_m, reader)]] };
    }
  }
}

/** What the wall can be made of; nothing where there is no choice or the wall is not the job's own. */
function choicesOf(wall: string, house: House, document: JobDocument): NamedAssembly[] {
  const assemblies = wallAssemblies(house, document);
  const isOwn = document.building.walls.some((w) => w.id === wall);
  return isOwn && assemblies.length > 1 ? assemblies : [];
}

interface PickerProps {
  choices: NamedAssembly[];
  assembly: string;
  onChange(choice: NamedAssembly): void;
}

function AssemblyPicker({ choices, assembly, onChange }: PickerProps) {
  return (
    <Field label={t.assembly} hint={t.assemblyHint}>
      {(wiring) => (
        <select
          {...wiring}
          value={assembly}
          onChange={(event) => {
            const choice = choices.find((c) => c.id === event.target.value);
            if (choice) onChange(choice);
          }}
        >
          {choices.map((choice) => (
            <option key={choice.id} value={choice.id}>
              {choice.name}
            </option>
          ))}
        </select>
      )}
    </Field>
  );
}
