/** The basic shapes of W3C SVG 2, chapter 10, and the path element, drawn as subpaths. */

import type { PathBuilder } from '../model/path-builder.js';
import { type Attributes, lengthOf, sizeOf, type Viewport } from './svg-lengths.js';
import { drawPathData } from './svg-path-data.js';
import { readNumbers } from './svg-scanner.js';
import { AttributeFault } from './xml/attribute-fault.js';

const fullTurn = 2 * Math.PI;

/**
 * Draws one element into `out`. The answer names what keeps an element from being drawn (`no data`,
 * `no size`), or is undefined when it was drawn.
 * @throws AttributeFault
 */
export type DrawShape = (attributes: Attributes, viewport: Viewport, out: PathBuilder) => string | undefined;

const rect: DrawShape = (attributes, viewport, out) => {
  const x = lengthOf(attributes, 'x', 'x', viewport) ?? 0;
  const y = lengthOf(attributes, 'y', 'y', viewport) ?? 0;
  const width = sizeOf(attributes, 'width', 'x', viewport) ?? 0;
  const height = sizeOf(attributes, 'height', 'y', viewport) ?? 0;
  if (width === 0 || height === 0) return 'a rectangle without width or height is not drawn';
  const statedX = sizeOf(attributes, 'rx', 'x', viewport);
  const statedY = sizeOf(attributes, 'ry', 'y', viewport);
  // An absent radius takes the other one's value; then neither may be more than half a side (SVG 2,
  // section 10.2).
  const rx = Math.min(statedX ?? statedY ?? 0, width / 2);
  const ry = Math.min(statedY ?? statedX ?? 0, height / 2);
  if (rx === 0 || ry === 0) {
    out.moveTo(x, y);
    out.lineTo(x + width, y);
    out.lineTo(x + width, y + height);
    out.lineTo(x, y + height);
    out.close();
    return undefined;
  }
  out.moveTo(x + rx, y);
  out.lineTo(x + width - rx, y);
  out.arcTo(rx, ry, 0, false, true, x + width, y + ry);
  out.lineTo(x + width, y + height - ry);
  out.arcTo(rx, ry, 0, false, true, x + width - rx, y + height);
  out.lineTo(x + rx, y + height);
  out.arcTo(rx, ry, 0, false, true, x, y + height - ry);
  out.lineTo(x, y + ry);
  out.arcTo(rx, ry, 0, false, true, x + rx, y);
  out.close();
  return undefined;
};

const circle: DrawShape = (attributes, viewport, out) => {
  const centre = centreOf(attributes, viewport);
  const radius = sizeOf(attributes, 'r', 'both', viewport) ?? 0;
  if (radius === 0) return 'a circle without radius is not drawn';
  out.fullTurn({ kind: 'arc', centre, radius, start: 0, sweep: fullTurn });
  return undefined;
};

const ellipse: DrawShape = (attributes, viewport, out) => {
  const centre = centreOf(attributes, viewport);
  const statedX = sizeOf(attributes, 'rx', 'x', viewport);
  const statedY = sizeOf(attributes, 'ry', 'y', viewport);
  const rx = statedX ?? statedY ?? 0;
  const ry = statedY ?? statedX ?? 0;
  if (rx === 0 || ry === 0) return 'an ellipse without radius is not drawn';
  if (rx === ry) {
    out.fullTurn({ kind: 'arc', centre, radius: rx, start: 0, sweep: fullTurn });
  } else {
    const u = { x: rx, y: 0 };
    out.fullTurn({ kind: 'elliptical-arc', centre, u, v: { x: 0, y: ry }, start: 0, sweep: fullTurn });
  }
  return undefined;
};

const line: DrawShape = (attributes, viewport, out) => {
  out.moveTo(lengthOf(attributes, 'x1', 'x', viewport) ?? 0, lengthOf(attributes, 'y1', 'y', viewport) ?? 0);
  out.lineTo(lengthOf(attributes, 'x2', 'x', viewport) ?? 0, lengthOf(attributes, 'y2', 'y', viewport) ?? 0);
  return undefined;
};

const polyline: DrawShape = (attributes, _viewport, out) => drawPoints(attributes, out, false);

const polygon: DrawShape = (attributes, _viewport, out) => drawPoints(attributes, out, true);

const path: DrawShape = (attributes, _viewport, out) => {
  const data = attributes.d;
  if (data === undefined || data.trim() === '' || data.trim() === 'none')
    return 'a path without data is not drawn';
  drawPathData(data, out);
  return undefined;
};

const centreOf = (attributes: Attributes, viewport: Viewport) => ({
  x: lengthOf(attributes, 'cx', 'x', viewport) ?? 0,
  y: lengthOf(attributes, 'cy', 'y', viewport) ?? 0,
});

const drawPoints = (attributes: Attributes, out: PathBuilder, closed: boolean): string | undefined => {
  const text = attributes.points ?? '';
  const numbers = readNumbers('points', text);
  if (numbers.length === 0) return 'a polygon or polyline without points is not drawn';
  if (numbers.length % 2 === 1) {
    throw new AttributeFault({
      attribute: 'points',
      offset: text.length,
      found: `${numbers.length} numbers in the attribute points`,
      expected: 'pairs of numbers',
      next: 'Correct the attribute, or export the drawing again.',
    });
  }
  out.attribute = 'points';
  out.moveTo(numbers[0]!, numbers[1]!);
  for (let i = 2; i < numbers.length; i += 2) out.lineTo(numbers[i]!, numbers[i + 1]!);
  if (closed) out.close();
  return undefined;
};

export const shapeElements: ReadonlyMap<string, DrawShape> = new Map([
  ['path', path],
  ['rect', rect],
  ['circle', circle],
  ['ellipse', ellipse],
  ['line', line],
  ['polyline', polyline],
  ['polygon', polygon],
]);
