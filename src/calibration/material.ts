/**
 * How much a panel may grow or shrink between two cuts, by moisture and warmth: an estimate for a warning, never for
 * a correction. A piece that is held at one temperature and humidity from cut to cut does not move at all.
 */
import type { Shape } from '../drawing/model/drawing.js';
import type { RoleAssignment } from '../drawing/roles/roles.js';
import type { Fit } from '../fit/fit.js';
import { pathBox } from '../geometry/curve.js';
import { emptyBox, joinBoxes } from '../geometry/point.js';
import type { Job, JobMaterial, Material, Model } from '../job/job.js';
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
} as const satisfies { readonly [material in Material]: Movement };

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

/** The longer side of what is drawn as the outline, or of the openings where there is none, mm; 0 for neither. */
export const panelLength = ({
  outline,
  openings,
}: {
  readonly outline: readonly Shape[];
  readonly openings: readonly Shape[];
}): number => {
  const shapes = outline.length > 0 ? outline : openings;
  const box = shapes.flatMap(({ paths }) => paths.map(pathBox)).reduce(joinBoxes, emptyBox);
  return Math.max(0, box.maxX - box.minX, box.maxY - box.minY);
};

export interface Panel {
  /** The longer side, mm. */
  readonly length: number;
  /** mm. */
  readonly clearance: number;
  readonly model: Model;
  /** Of one reading, mm; undefined: not known. */
  readonly readingSd?: number;
}

/**
 * `material-moves` for a long panel whose ends may have moved by a fifth of the clearance or more, and by more than a
 * reading is out by: a rigid fit puts its centre right and leaves half the movement to either end. None for short
 * panels, and none for a model that follows the size by itself. Air that nobody measured is taken to have changed by
 * as much as may go unnoticed.
 */
export const materialWarnings = (
  { kind, humidity, temperature }: JobMaterial,
  { length, clearance, model, readingSd }: Panel,
): Warning[] => {
  if (length < shortestLong || model === 'similarity' || model === 'affine') return [];
  const change: Required<Change> = {
    warmth: temperature === undefined ? unnoticed.warmth : temperature[1] - temperature[0],
    moisture: humidity === undefined ? unnoticed.moisture : humidity[1] - humidity[0],
  };
  const known: Movement = movements[kind];
  const measured = (known.warmth && temperature) ?? (known.moisture && humidity);
  const moved = movementOf(kind, length, change);
  if (moved === undefined) return [];
  const most = Math.abs(moved[0]) > Math.abs(moved[1]) ? moved[0] : moved[1];
  const atEnd = Math.abs(most) / 2;
  if (atEnd < worthTelling * clearance || atEnd < (readingSd ?? 0)) return [];
  const size = Math.abs(most).toFixed(2);
  const happened =
    measured === undefined
      ? `may have changed by about ${size} mm`
      : `should have ${most > 0 ? 'grown' : 'shrunk'} by about ${size} mm`;
  const beside = readingSd === undefined ? '' : ` and a reading is out by ${readingSd.toFixed(2)} mm`;
  return [
    {
      code: 'material-moves',
      message: `${length.toFixed(0)} mm of ${names[kind]} ${happened} ${causeOf(known, change, measured !== undefined)}, half of it at either end, where the clearance is ${clearance} mm${beside}. This is an estimate from data sheets: nothing is corrected by it, and the risk leaves it out. Read marks near both ends; with three or more, fit: {model: similarity} follows the size, and affine also a size that differs between x and y.`,
    },
  ];
};

const causeOf = (known: Movement, change: Required<Change>, measured: boolean): string => {
  const causes = (['warmth', 'moisture'] as const).filter((cause) => known[cause] !== undefined);
  const clauses = causes.map((cause) => {
    const by = Math.abs(change[cause]);
    return cause === 'warmth' ? `${by} K` : `${by} % of relative humidity`;
  });
  return measured ? `by ${clauses.join(' and ')}` : `for ${clauses.join(' and ')}, which go unnoticed`;
};

const names: Readonly<Record<Material, string>> = {
  aluminium: 'aluminium',
  acrylic: 'cast acrylic',
  mdf: 'MDF',
  plywood: 'plywood',
};

/** What a job says of its material, held against its panel and the fit; undefined: a fit that failed. */
export const materialOfJob = (
  { material, cut, fit: stated }: Job,
  roles: Pick<RoleAssignment, 'openings' | 'outline'>,
  fit: Fit | undefined,
): Warning[] => {
  if (material === undefined) return [];
  const readingSd = fit === undefined ? stated.readingSd : fit.sd.used;
  return materialWarnings(material, {
    length: panelLength(roles),
    clearance: cut.clearance,
    model: stated.model,
    ...(readingSd === undefined ? {} : { readingSd }),
  });
};
