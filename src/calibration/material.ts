/**
 * How much a panel may grow or shrink between two cuts, by moisture and warmth: an estimate for a warning, never for
 * a correction. A piece that is held at one temperature and humidity from cut to cut does not move at all.
 */
import type { Warning } from '../job/messages.js';

/** Relative change of length, each as the range data sheets give. */
export interface Movement {
  /** Per kelvin. */
  readonly warmth?: readonly [low: number, high: number];
  /** Per per cent of relative humidity. */
  readonly moisture?: readonly [low: number, high: number];
}

/**
 * From manufacturers' data sheets as quoted in the trade, not re-measured: aluminium 24e-6 /K; cast acrylic about
 * 7.2e-5 to 7.7e-5 /K; MDF about 0.3 % from 30 to 90 % relative humidity; plywood about 0.02 % per 10 %. A figure
 * that is not quoted is absent, which does not mean that it is nothing.
 */
export const movements = {
  aluminium: { warmth: [24e-6, 24e-6] },
  acrylic: { warmth: [7.2e-5, 7.7e-5] },
  mdf: { moisture: [0.003 / 60, 0.003 / 60] },
  plywood: { moisture: [0.0002 / 10, 0.0002 / 10] },
} as const satisfies { readonly [material: string]: Movement };

export type Material = keyof typeof movements;

export interface Change {
  /** Kelvin, signed. */
  readonly warmth?: number;
  /** Per cent of relative humidity, signed. */
  readonly moisture?: number;
}

/** What a workshop may see between two days without noticing. Common practice, no source. */
export const unnoticed: Required<Change> = { warmth: 10, moisture: 10 };

/**
 * Change of a length, mm, as a range from low to high; undefined where nothing is known of this material under this
 * change.
 */
export const movementOf = (
  material: Material,
  length: number,
  change: Change,
): readonly [low: number, high: number] | undefined => {
  const known: Movement = movements[material];
  const parts = (['warmth', 'moisture'] as const).flatMap((cause) => {
    const rate = known[cause];
    const by = change[cause];
    return rate === undefined || by === undefined ? [] : [rate.map((r) => r * by * length)];
  });
  if (parts.length === 0) return undefined;
  const low = parts.reduce((sum, part) => sum + Math.min(...part), 0);
  const high = parts.reduce((sum, part) => sum + Math.max(...part), 0);
  return [low, high];
};

/** Shorter panels move by less than a pointer shows. Common practice, no source. */
const shortestLong = 500;
/** Share of the clearance that is worth a word. */
const worthTelling = 1 / 5;

/**
 * `material-moves` for a long panel whose ends may move by a fifth of the clearance or more: a rigid fit puts its
 * centre right and leaves half the movement to either end. None for short panels.
 */
export const materialWarnings = (
  material: Material,
  { length, clearance }: { readonly length: number; readonly clearance: number },
  change: Change = unnoticed,
): Warning[] => {
  if (length < shortestLong) return [];
  const known: Movement = movements[material];
  const causes = (['warmth', 'moisture'] as const).filter(
    (cause) => known[cause] !== undefined && change[cause] !== undefined,
  );
  const moved = movementOf(material, length, change);
  if (moved === undefined) return [];
  const most = Math.max(...moved.map(Math.abs));
  if (most / 2 < worthTelling * clearance) return [];
  const under = causes.map((cause) =>
    cause === 'warmth'
      ? `${Math.abs(change.warmth!)} K`
      : `${Math.abs(change.moisture!)} % of relative humidity`,
  );
  return [
    {
      code: 'material-moves',
      message: `${length.toFixed(0)} mm of ${names[material]} may change by about ${most.toFixed(2)} mm for ${under.join(' and ')}, half of it at either end, where the clearance is ${clearance} mm. This is an estimate from data sheets: read marks near both ends, on the day of the cut; fit: {model: similarity} follows the size if three marks or more say so.`,
    },
  ];
};

const names: Readonly<Record<Material, string>> = {
  aluminium: 'aluminium',
  acrylic: 'cast acrylic',
  mdf: 'MDF',
  plywood: 'plywood',
};
