/** What is said of a drawing whose scale is an assumption, and of a panel of an unlikely size. */

import { type Box, emptyBox, joinBoxes } from '../geometry/point.js';
import type { LengthUnit, Machine, PixelsToInch } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import type { AssumedScale, Drawing } from './model/drawing.js';
import { shapeBox } from './model/shape-store.js';
import { millimetresIn } from './model/units.js';
import type { RoleAssignment } from './roles/roles.js';

/** What is assumed: W3C CSS Values and Units 3, section 6.2. */
const cssPixelsToInch = 96;
/** In files of older programs. Common practice, no source. */
const olderPixelsToInch = [90, 72] as const;
/** Of printers, screens and scanners. Common practice, no source. */
const otherResolutions = [100, 120, 150, 200, 254, 300, 360, 600, 720, 1200] as const;

/** Another scale that a drawing of assumed scale may have. */
export interface OtherScale {
  /** The line for the job: `dpi: 72`. */
  readonly line: string;
  /** What that line says. */
  readonly keys: { readonly dpi: PixelsToInch } | { readonly units: LengthUnit };
  /** How many times as large the drawing is then. */
  readonly ratio: number;
}

/** From the likeliest on. */
export const otherScales = ({ unit, mentioned }: AssumedScale): OtherScale[] => {
  const stated = mentioned === undefined ? [] : [mentioned.dpi];
  const resolutions = new Set([...stated, ...olderPixelsToInch, ...otherResolutions]);
  resolutions.delete(cssPixelsToInch);
  const at = (dpi: PixelsToInch): OtherScale => ({
    line: `dpi: ${dpi}`,
    keys: { dpi },
    ratio: cssPixelsToInch / dpi,
  });
  const scales = [...resolutions].map(at);
  // A px of 1 mm: the figures of width and height are mm, whatever the viewBox counts in.
  const inMillimetres = at(millimetresIn.in);
  if (unit === undefined) return [...scales, inMillimetres];
  const figures = (['mm', 'cm', 'in'] as const).map((name) => ({
    line: `units: ${name}`,
    keys: { units: name },
    ratio: millimetresIn[name] / unit,
  }));
  const same = Math.abs(unit / millimetresIn.px - 1) < 1e-6;
  return [...scales, ...figures, ...(same ? [] : [inMillimetres])];
};

interface PanelSize {
  readonly width: number;
  readonly height: number;
}

/**
 * The box of the outline, or of all that is drawn where there is none, mm; undefined where nothing
 * is.
 */
export const panelBox = (drawing: Drawing, { outline }: Pick<RoleAssignment, 'outline'>): Box | undefined => {
  const box = outline.length > 0 ? outline.map(shapeBox).reduce(joinBoxes, emptyBox) : drawing.box;
  return box.minX > box.maxX ? undefined : box;
};

/**
 * At most one warning of the scale, and one of the size.
 *
 * @param machine of the job, where there is one
 * @param agree true where the distances between marks, as read, agree with the scale
 */
export const scaleWarnings = (
  drawing: Drawing,
  roles: Pick<RoleAssignment, 'outline'>,
  machine: Pick<Machine, 'size'> = {},
  agree = false,
): Warning[] => {
  const box = panelBox(drawing, roles);
  if (box === undefined) return [];
  const panel: PanelSize = { width: box.maxX - box.minX, height: box.maxY - box.minY };
  const { scale } = drawing;
  return [
    ...(scale === undefined ? [] : [dpiAssumed(panel, scale, agree)]),
    ...unlikelySize(panel, drawing, machine.size),
  ];
};

const dpiAssumed = (panel: PanelSize, scale: AssumedScale, agree: boolean): Warning => {
  const { page, unit, mentioned } = scale;
  const why = {
    px: 'the drawing states its size in px',
    nothing: 'the drawing states no unit',
    length: 'the page has a size, but what is drawn on it counts in px',
  }[page];
  const opening = `The panel is ${sizeWords(panel)}, if ${cssPixelsToInch} px make an inch as in CSS: ${why}.`;
  const confirm = `write "dpi: ${cssPixelsToInch}" into the job`;
  if (agree) {
    const message = `${opening} The distances between the marks, as they were read, agree with that; to state it, ${confirm}.`;
    return { code: 'dpi-assumed', message };
  }
  const sizes = olderPixelsToInch.map(
    (dpi) => `${sizeWords(panel, cssPixelsToInch / dpi)} at ${dpi} px to the inch`,
  );
  if (unit !== undefined) sizes.push(`${sizeWords(panel, 1 / unit)} if its figures are mm`);
  const statement =
    mentioned === undefined
      ? ''
      : ` The file itself mentions ${mentioned.dpi} px to the inch (${mentioned.where})${
          mentioned.dpi === cssPixelsToInch
            ? ''
            : `, at which the panel would be ${sizeWords(panel, cssPixelsToInch / mentioned.dpi)}: if that holds, write "dpi: ${mentioned.dpi}"`
        }.`;
  const lines = [
    ...olderPixelsToInch.map((dpi) => `"dpi: ${dpi}"`),
    ...(unit === undefined ? [] : ['"units: mm"']),
  ];
  return {
    code: 'dpi-assumed',
    message: `${opening} It would be ${listed(sizes)}.${statement} Measure the panel, and ${confirm}, or ${lines.join(' or ')}.`,
  };
};

const listed = (words: readonly string[]): string => `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;

/** `158.8 x 105.8 mm` */
const sizeWords = ({ width, height }: PanelSize, times = 1): string =>
  `${figure(width * times)} x ${figure(height * times)} mm`;

const figure = (value: number): string =>
  (value >= 0.1 ? value.toFixed(1) : value.toPrecision(1)).replace(/\.0$/, '');

/** Larger and smaller panels are likelier slips of the unit, mm. Common practice, no source. */
const largestLikely = 3000;
const smallestLikely = 5;

const unlikelySize = (panel: PanelSize, drawing: Drawing, bed: Machine['size']): Warning[] => {
  const longer = Math.max(panel.width, panel.height);
  const found =
    longer > largestLikely
      ? `over ${largestLikely / 1000} m long`
      : longer < smallestLikely
        ? `under ${smallestLikely} mm`
        : undefined;
  const offBed = bed !== undefined && !fitsInto(panel, bed);
  if (found === undefined && !offBed) return [];
  const beyond = `larger than the bed of ${bed?.[0]} x ${bed?.[1]} mm`;
  const what = [...(found === undefined ? [] : [found]), ...(offBed ? [beyond] : [])].join(' and ');
  const cure =
    drawing.scale !== undefined
      ? 'See above for what its scale may be.'
      : found === undefined
        ? 'Correct the unit if it is not that large; a panel larger than the bed is cut in several settings, a job for each.'
        : `Its unit is ${drawing.units}: some programs write one unasked. If its figures are mm, write "units: mm" into the job.`;
  return [{ code: 'unlikely-size', message: `The panel is ${sizeWords(panel)}, ${what}. ${cure}` }];
};

/**
 * Whether a rectangle goes into another one, turned as need be (Carver, 1957, "Solution to Problem
 * E 1225", American Mathematical Monthly 64, from memory).
 */
const fitsInto = (panel: PanelSize, bed: readonly [number, number]): boolean => {
  const [q, p] = [panel.width, panel.height].sort((x, y) => x - y) as [number, number];
  const [b, a] = [...bed].sort((x, y) => x - y) as [number, number];
  if (p <= a) return q <= b;
  if (q > b || p * p + q * q <= a * a) return false;
  return b * (p * p + q * q) >= 2 * p * q * a + (p * p - q * q) * Math.sqrt(p * p + q * q - a * a);
};
