/** The page of an SVG drawing: how long its units are, and where its bottom left corner lies. */
import { compose, type Matrix } from '../../geometry/affine.js';
import type { LengthUnit, PixelsToInch } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import type { AssumedScale } from '../model/drawing.js';
import { millimetresIn } from '../model/units.js';
import { type Attributes, type CssLength, parseLength, type Viewport } from './svg-lengths.js';
import {
  type AspectRatio,
  parseAspectRatio,
  parseViewBox,
  type ViewBox,
  viewBoxMap,
} from './svg-viewport.js';
import { AttributeFault } from './xml/attribute-fault.js';

export interface Page {
  /**
   * User units of the root element to the design frame: mm, y up, origin at the bottom left of the
   * page.
   */
  readonly matrix: Matrix;
  /** What percentages in the root refer to. */
  readonly viewport: Viewport;
  /** mm */
  readonly width: number;
  readonly height: number;
  /** The unit the file states or the job supplied. */
  readonly units: string;
  /** Present where the length of a px decides, and the job does not say it. */
  readonly scale?: AssumedScale;
  /**
   * True where nothing says how high the page is: its bottom edge then lies where the caller was
   * told.
   */
  readonly isBottomless?: true;
  readonly warnings: readonly Warning[];
}

/**
 * Without `units` the page counts in the unit of its width and height; bare numbers count px (W3C
 * SVG 2, section 8.9), and so do the units of a viewBox where neither width nor height says
 * anything (a percentage does not). With `units` a unit of the viewBox, or a user unit where there
 * is no viewBox, has that length whatever the page says.
 *
 * @param bottom height of a page without height and viewBox, mm
 * @throws AttributeFault where one side has a unit and the other does not say how long it is.
 */
export const readPage = (
  attributes: Attributes,
  style: ReadonlyMap<string, string>,
  { units, dpi }: { readonly units?: LengthUnit; readonly dpi?: PixelsToInch },
  bottom = 0,
): Page => {
  const pixel = dpi === undefined ? millimetresIn.px : millimetresIn.in / dpi;
  const across = pageLength('width', style.get('width') ?? attributes.width);
  const up = pageLength('height', style.get('height') ?? attributes.height);
  const statesLength = isLength(across) || isLength(up);
  const countsPixels = dpi !== undefined || (units === undefined && !statesLength);
  const inPixels = (length: CssLength | undefined): CssLength | undefined =>
    countsPixels && length?.unit === '' ? { ...length, unit: 'px' } : length;
  const width = inPixels(across);
  const height = inPixels(up);
  const viewBox = parseViewBox(attributes);
  const ratio = parseAspectRatio(attributes);
  if (viewBox !== undefined && (viewBox.width === 0 || viewBox.height === 0)) {
    throw new AttributeFault({
      attribute: 'viewBox',
      found: `a viewBox of ${viewBox.width} x ${viewBox.height}, which shows nothing`,
      expected: 'a width and a height above 0',
      next: 'Correct the viewBox, or export the drawing again.',
    });
  }
  const sides: Sides = { width, height, viewBox, pixel, bottom };
  const stated = statedPage(sides, ratio);
  if (units !== undefined) return pageInUnits(units, stated, sides);
  if (stated === undefined && statesLength) throw unknownSize(width, height, viewBox);
  const page: Page = stated === undefined ? pageInUnits('px', undefined, sides) : { ...stated, warnings: [] };
  if (page.units !== 'px' && viewBox !== undefined) {
    return dpi === undefined ? page : { ...page, warnings: [dpiUnused(dpi, page.units)] };
  }
  if (dpi !== undefined) return page;
  const says = statesLength ? 'length' : isPixels(across) || isPixels(up) ? 'px' : 'nothing';
  const [scaleX, , , scaleY] = page.matrix;
  const even = Math.abs(Math.abs(scaleX / scaleY) - 1) <= 1e-6;
  return { ...page, scale: { page: says, ...(even ? { unit: Math.abs(scaleX) } : {}) } };
};

const isPixels = (length: CssLength | undefined): boolean => length?.unit === 'px';

/** In a unit whose length is known. */
const isLength = (length: CssLength | undefined): boolean =>
  length !== undefined && length.unit !== '' && length.unit !== 'px';

const dpiUnused = (dpi: PixelsToInch, units: string): Warning => ({
  code: 'dpi-unused',
  message: `dpi: ${dpi} makes no difference to the page, which states its size in ${units}.`,
});

/** What the root says of its size, and the length of a px in mm. */
interface Sides {
  readonly width: CssLength | undefined;
  readonly height: CssLength | undefined;
  readonly viewBox: ViewBox | undefined;
  readonly pixel: number;
  readonly bottom: number;
}

/** A percentage on the root refers to a window that does not exist: it says nothing. */
const pageLength = (name: string, text: string | undefined): CssLength | undefined => {
  if (text === undefined || /^\s*(auto)?\s*$/.test(text)) return undefined;
  const length = parseLength(name, text);
  if (length.unit === '%') return undefined;
  if (length.value > 0) return length;
  throw new AttributeFault({
    attribute: name,
    found: `${name}="${text.trim()}" on the page`,
    expected: `a ${name} above 0`,
    next: 'Correct the attribute, or export the drawing again.',
  });
};

const inMillimetres = (length: CssLength | undefined, pixel: number): number | undefined =>
  length === undefined || length.unit === '' || length.unit === '%'
    ? undefined
    : length.value * (length.unit === 'px' ? pixel : millimetresIn[length.unit]);

/** y down from the top of the page to y up from its bottom. */
const upwards = (height: number): Matrix => [1, 0, 0, -1, 0, height];

/** The page as the file states it, or undefined where it states no complete size. */
const statedPage = (
  { width, height, viewBox, pixel }: Sides,
  ratio: AspectRatio,
): Omit<Page, 'warnings'> | undefined => {
  let wide = inMillimetres(width, pixel);
  let high = inMillimetres(height, pixel);
  const unit = wide !== undefined ? width!.unit : high !== undefined ? height!.unit : undefined;
  if (unit === undefined) return undefined;
  if (viewBox !== undefined) {
    // An absent side follows from the other and the viewBox (SVG 2, section 8.12: the intrinsic
    // aspect ratio).
    if (width === undefined) wide = (high! * viewBox.width) / viewBox.height;
    if (height === undefined) high = (wide! * viewBox.height) / viewBox.width;
  }
  if (wide === undefined || high === undefined) return undefined;
  if (viewBox === undefined) {
    const matrix: Matrix = [pixel, 0, 0, -pixel, 0, high];
    return {
      matrix,
      viewport: { width: wide / pixel, height: high / pixel, pixel },
      width: wide,
      height: high,
      units: unit,
    };
  }
  const matrix = compose(upwards(high), viewBoxMap(viewBox, ratio, wide, high));
  return { matrix, viewport: { ...viewBox, pixel }, width: wide, height: high, units: unit };
};

const pageInUnits = (
  units: LengthUnit,
  stated: Omit<Page, 'warnings'> | undefined,
  { width, height, viewBox, pixel, bottom }: Sides,
): Page => {
  const size = units === 'px' ? pixel : millimetresIn[units];
  const warnings: Warning[] = [];
  if (stated !== undefined) {
    const scaleX = Math.abs(stated.matrix[0]);
    const scaleY = Math.abs(stated.matrix[3]);
    const same = Math.abs(scaleX / size - 1) <= 1e-6 && Math.abs(scaleY / size - 1) <= 1e-6;
    if (same) return { ...stated, units, warnings };
    warnings.push(unitsOverridden(units, size, stated.units, scaleX, scaleY));
  }
  if (viewBox !== undefined) {
    const matrix: Matrix = [size, 0, 0, -size, -viewBox.x * size, (viewBox.y + viewBox.height) * size];
    const page = { width: viewBox.width * size, height: viewBox.height * size };
    return { matrix, viewport: { ...viewBox, pixel }, ...page, units, warnings };
  }
  // Bare numbers and px count user units; a length in another unit is that long.
  const side = (length: CssLength): number =>
    length.unit === '' || length.unit === 'px' ? length.value * size : inMillimetres(length, pixel)!;
  const high = height === undefined ? bottom : side(height);
  const wide = width === undefined ? 0 : side(width);
  return {
    matrix: [size, 0, 0, -size, 0, high],
    viewport: { width: wide / size, height: high / size, pixel },
    width: wide,
    height: high,
    units,
    ...(height === undefined ? { isBottomless: true as const } : {}),
    warnings,
  };
};

const unitsOverridden = (
  units: LengthUnit,
  size: number,
  statedUnits: string,
  scaleX: number,
  scaleY: number,
): Warning => {
  const figure = (value: number): string => Number(value.toPrecision(6)).toString();
  const stated =
    Math.abs(scaleX / scaleY - 1) <= 1e-6
      ? `${figure(scaleX)} mm`
      : `${figure(scaleX)} mm across and ${figure(scaleY)} mm up`;
  return {
    code: 'units-overridden',
    message:
      `The drawing states its size in ${statedUnits}, which makes one of its units ${stated} long; ` +
      `the job says units: ${units}, and so each is taken as ${figure(size)} mm.`,
  };
};

const unknownSize = (
  width: CssLength | undefined,
  height: CssLength | undefined,
  viewBox: ViewBox | undefined,
): AttributeFault => {
  const isBare = width?.unit === '' || height?.unit === '' || isPixels(width) || isPixels(height);
  return new AttributeFault({
    attribute: undefined,
    found: `a page with a unit on one side only: the other is ${isBare ? 'a bare number' : 'not given'}`,
    expected: `a width and a height with units${viewBox === undefined ? ', or a viewBox beside one of them' : ''}`,
    next: 'Export the drawing with its real size, or say how long its units are ("units: mm" in the job, --units mm for "list"), or how many px make an inch ("dpi: 96", --dpi 96).',
  });
};
