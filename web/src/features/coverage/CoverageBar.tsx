/** What the map shows: which band, and which quantity. */

import type { MapBand, MapQuantity } from "../../engine/types.ts";
import { text } from "../../text.ts";
import { Choice } from "../../ui/Choice.tsx";

const t = text.coverage;

export const bandOrder: readonly MapBand[] = ["any", "2.4", "5", "6"];
export const quantityOrder: readonly MapQuantity[] = ["level", "rate", "probability"];

interface Props {
  band: MapBand;
  quantity: MapQuantity;
  onBand(band: MapBand): void;
  onQuantity(quantity: MapQuantity): void;
}

export function CoverageBar({ band, quantity, onBand, onQuantity }: Props) {
  return (
    <>
      <Choice
        label={t.band}
        canFold
        options={bandOrder.map((value) => ({
          value,
          label: t.bands[value],
          name: t.bandNames[value],
          fold: t.bandNames[value],
        }))}
        value={band}
        onChange={onBand}
      />
      <Choice
        label={t.quantity}
        canFold
        options={quantityOrder.map((value) => ({
          value,
          label: t.quantities[value],
          name: t.quantityNames[value],
        }))}
        value={quantity}
        onChange={onQuantity}
      />
    </>
  );
}
