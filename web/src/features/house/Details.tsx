/** What is known of the thing that is selected, and what can be changed of it. */

import type { ReactNode } from "react";
import type { Selected } from "../../document/address.ts";
import { area, length, type Reader, smallLength } from "../../document/format.ts";
import { find } from "../../document/storeys.ts";
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
      return {
        title: t.wall[wall.kind],
        lines: [
          storey,
          [t.length, length(wall.length_m, reader)],
          [t.thickness, smallLength(wall.thickness_m, reader)],
          [t.assembly, wall.assembly_name],
        ],
        more: (
          <AssemblyPicker
            {...props}
            wall={wall.id}
            assembly={wall.assembly}
            assemblyName={wall.assembly_name}
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

interface PickerProps extends Props {
  wall: string;
  assembly: string;
  assemblyName: string;
}

/** Only the job's own assemblies can be chosen: they are those that the document knows by id. */
function AssemblyPicker({ wall, assembly, assemblyName, document, onAssembly }: PickerProps) {
  const assemblies = document.building.assemblies ?? [];
  const isWall = document.building.walls?.some((w) => w.id === wall) ?? false;
  if (!isWall || assemblies.length < 2) return null;
  const isListed = assemblies.some((a) => a.id === assembly);
  return (
    <Field label={t.assembly} hint={t.assemblyHint}>
      {(wiring) => (
        <select
          {...wiring}
          value={assembly}
          onChange={(event) => {
            const next = assemblies.find((a) => a.id === event.target.value);
            if (next) onAssembly(wall, next.id, next.name ?? next.id);
          }}
        >
          {!isListed && <option value={assembly}>{assemblyName}</option>}
          {assemblies.map((a) => (
            <option key={a.id} value={a.id}>
              {a.name ?? a.id}
            </option>
          ))}
        </select>
      )}
    </Field>
  );
}
