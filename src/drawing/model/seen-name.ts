/**
 * Names as the people who drew them see them: what a program makes up for itself is the last
 * choice.
 */

import type { Shape } from './drawing.js';

/**
 * A kind and a number, as programs number what they store: `layer2`, `path77`, `g1204-5`,
 * `Ellipse_3_`.
 */
const madeUp =
  /^(?:[a-z]|svg|id|xmlid|svgid|path|rect|circle|ellipse|line|polyline|polygon|use|text|tspan|image|layer|group|shape|object|element)[-_]?\d[\d_-]*$/i;

/** Whether no one need have thought of this name. */
export const isMadeUpByProgram = (name: string): boolean =>
  madeUp.test(name) || /^entity-[\dA-F]+$/.test(name);

/**
 * The layer or group of a shape by the name under which it is seen: of the innermost one that has a
 * name, its label before an id that a program made up; where it has no label, that of a layer
 * around it, as in programs that show labels.
 */
export const layerSeen = ({ group, layers }: Pick<Shape, 'group' | 'layers'>): string | undefined => {
  let innermost: string | undefined;
  for (let around = group; around !== undefined; around = around.parent) {
    const { names } = around;
    const given = names.find((name) => !isMadeUpByProgram(name));
    if (given !== undefined && (innermost === undefined || names.length > 1)) return given;
    innermost ??= names[0];
  }
  return innermost ?? layers[0];
};
