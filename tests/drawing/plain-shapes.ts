import type { Drawing, Shape } from '../../src/drawing/model/drawing.js';
import { changedShape } from '../../src/drawing/model/shape-store.js';

/** The shapes as objects that hold all they say: readers keep it in columns. */
export const plainShapes = ({ shapes }: Pick<Drawing, 'shapes'>): Shape[] =>
  shapes.map((shape) =>
    changedShape(shape, { paths: shape.paths.map(({ segments, closed }) => ({ segments, closed })) }),
  );
