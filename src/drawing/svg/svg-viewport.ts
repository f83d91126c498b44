/** viewBox and preserveAspectRatio: W3C SVG 2, sections 8.6 and 8.7. */

import type { Matrix } from '../../geometry/affine.js';
import type { Group } from '../model/drawing.js';
import type { Inherited } from './style/properties.js';
import type { Scope } from './style/selector.js';
import type { Attributes, Viewport } from './svg-lengths.js';
import { readNumbers, shorten } from './svg-scanner.js';
import { AttributeFault } from './xml/attribute-fault.js';

export interface ViewBox {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export interface AspectRatio {
  /** Share of the spare room to the left and above: 0, 0.5 or 1. Undefined: stretch (`none`). */
  readonly align?: { readonly x: number; readonly y: number };
  readonly slice: boolean;
}

/**
 * The viewBox of an element, or undefined when it has none.
 * @throws AttributeFault unless it is four numbers with width and height not negative.
 */
export const parseViewBox = (attributes: Attributes): ViewBox | undefined => {
  const text = attributes.viewBox;
  if (text === undefined || text.trim() === 'none') return undefined;
  const numbers = readNumbers('viewBox', text);
  const [x, y, width, height] = numbers;
  if (numbers.length === 4 && width! >= 0 && height! >= 0) {
    return { x: x!, y: y!, width: width!, height: height! };
  }
  throw new AttributeFault({
    attribute: 'viewBox',
    found: `viewBox="${shorten(text)}"`,
    expected: 'four numbers: left, top, width and height, the last two not negative',
    next: 'Correct the attribute, or export the drawing again.',
  });
};

const shares: Readonly<Record<string, number>> = { Min: 0, Mid: 0.5, Max: 1 };

/** @throws AttributeFault for anything that the grammar of SVG 2, section 8.7 does not have. */
export const parseAspectRatio = (attributes: Attributes): AspectRatio => {
  const text = attributes.preserveAspectRatio ?? 'xMidYMid meet';
  // `defer` is of SVG 1.1 and only meant images.
  const words = /^\s*(?:defer\s+)?(?:(none)|x(Min|Mid|Max)Y(Min|Mid|Max))(?:\s+(meet|slice))?\s*$/.exec(text);
  if (words === null) {
    throw new AttributeFault({
      attribute: 'preserveAspectRatio',
      found: `preserveAspectRatio="${shorten(text)}"`,
      expected: 'none, or xMin, xMid or xMax with YMin, YMid or YMax, then meet or slice',
      next: 'Correct the attribute, or export the drawing again.',
    });
  }
  const slice = words[4] === 'slice';
  if (words[1] === 'none') return { slice };
  return { align: { x: shares[words[2]!]!, y: shares[words[3]!]! }, slice };
};

/**
 * The map from viewBox units to a viewport of this size, whose corner is the origin (SVG 2, section
 * 8.2).
 */
export const viewBoxMap = (box: ViewBox, ratio: AspectRatio, width: number, height: number): Matrix => {
  const scaleX = width / box.width;
  const scaleY = height / box.height;
  if (ratio.align === undefined) return [scaleX, 0, 0, scaleY, -box.x * scaleX, -box.y * scaleY];
  const scale = ratio.slice ? Math.max(scaleX, scaleY) : Math.min(scaleX, scaleY);
  const spareX = width - box.width * scale;
  const spareY = height - box.height * scale;
  return [scale, 0, 0, scale, ratio.align.x * spareX - box.x * scale, ratio.align.y * spareY - box.y * scale];
};

/** The window of a nested svg or symbol, and those around it. */
export interface Limit {
  /** Design frame to the window's own units, its corner at the origin. */
  readonly toWindow: Matrix;
  readonly width: number;
  readonly height: number;
  readonly outer?: Limit;
}

/** What an open element hands to the elements inside it. */
export interface Frame extends Inherited {
  /** User units to the design frame. */
  readonly matrix: Matrix;
  readonly viewport: Viewport;
  /** The innermost group with a name. */
  readonly group: Group | undefined;
  /** The names of all groups around, innermost first. */
  readonly layers: readonly string[];
  /** The element itself, for selectors; undefined around what a `use` shows. */
  readonly scope: Scope | undefined;
  /** Windows of nested svg elements and symbols: what lies beyond them would not be seen. */
  readonly limit?: Limit | undefined;
  /** False inside defs, text and everything else of which nothing is drawn. */
  readonly draws: boolean;
  /** Inside a switch: whether one of its children has been chosen. */
  readonly choice?: { made: boolean } | undefined;
}
