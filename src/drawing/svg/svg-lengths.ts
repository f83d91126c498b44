/** Lengths and page sizes as SVG attributes write them. */

import { millimetresIn } from '../model/units.js';
import { Scanner } from './svg-scanner.js';
import { AttributeFault } from './xml/attribute-fault.js';

/** Units as CSS writes them; '' is a bare number, '%' a share of the viewport. */
export type CssUnit = '' | '%' | 'px' | 'mm' | 'cm' | 'in' | 'pt' | 'pc' | 'q';

export interface CssLength {
  readonly value: number;
  readonly unit: CssUnit;
}

/** What percentages refer to: the size of the nearest viewport, in its own user units. */
export interface Viewport {
  readonly width: number;
  readonly height: number;
  /** Length of a user unit where lengths have units: a CSS px, mm. */
  readonly pixel: number;
}

const units: ReadonlySet<string> = new Set(['', '%', 'px', 'mm', 'cm', 'in', 'pt', 'pc', 'q']);

/**
 * A length; unit names in any case.
 * @throws AttributeFault for anything else, and for units that hang on a font or a window (em, ex,
 * vw, ...).
 */
export const parseLength = (attribute: string, text: string): CssLength => {
  const scan = new Scanner(attribute, text);
  scan.skipBlanks();
  const value = scan.number();
  if (scan.done) return { value, unit: '' };
  const start = scan.at;
  const unit = text.slice(start).trim().toLowerCase();
  if (units.has(unit)) return { value, unit: unit as CssUnit };
  if (/^(em|ex|rem|ch|vw|vh|vmin|vmax|lh|rlh|cap|ic)$/.test(unit)) {
    throw new AttributeFault({
      attribute,
      offset: start,
      found: `the unit ${unit} in the attribute ${attribute}, whose size depends on a font or a window`,
      expected: 'a length in mm, cm, in, pt, pc, q, px or user units',
      next: 'Give the length in an absolute unit.',
    });
  }
  throw scan.fault('a unit (mm, cm, in, pt, pc, q, px, %) or nothing', start);
};

/**
 * The length in user units: a user unit is a CSS px (W3C SVG 2, section 8.9), percentages refer to
 * the viewport's width, height or, for a radius, to sqrt((width^2 + height^2) / 2).
 */
export const inUserUnits = (length: CssLength, along: 'x' | 'y' | 'both', viewport: Viewport): number => {
  const { value, unit } = length;
  switch (unit) {
    case '':
    case 'px':
      return value;
    case '%': {
      const { width, height } = viewport;
      const whole =
        along === 'x' ? width : along === 'y' ? height : Math.sqrt((width * width + height * height) / 2);
      return (value / 100) * whole;
    }
    default:
      return (value * millimetresIn[unit]) / viewport.pixel;
  }
};

/** Attributes of one element. */
export type Attributes = Readonly<Record<string, string | undefined>>;

/** A length attribute in user units, or undefined when it is absent or `auto`. */
export const lengthOf = (
  attributes: Attributes,
  name: string,
  along: 'x' | 'y' | 'both',
  viewport: Viewport,
): number | undefined => {
  const text = attributes[name];
  if (text === undefined || text.trim() === 'auto') return undefined;
  return inUserUnits(parseLength(name, text), along, viewport);
};

/** The same for a size or a radius, which cannot be negative. */
export const sizeOf = (
  attributes: Attributes,
  name: string,
  along: 'x' | 'y' | 'both',
  viewport: Viewport,
): number | undefined => {
  const size = lengthOf(attributes, name, along, viewport);
  if (size === undefined || size >= 0) return size;
  throw new AttributeFault({
    attribute: name,
    found: `${name}="${attributes[name]}"`,
    expected: 'a size that is not negative',
    next: 'Correct the attribute, or export the drawing again.',
  });
};
