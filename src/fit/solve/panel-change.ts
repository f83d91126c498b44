/** A panel that is no longer as drawn: displacements of its points in the design frame after `face`, mm. */
import type { Box, Point } from '../../geometry/point.js';

/** Grown by the share about the origin; a fit takes the shift that this is elsewhere. */
export const grownBy =
  (share: number) =>
  ({ x, y }: Point): Point => ({ x: share * x, y: share * y });

/** The middle of its longer side lies `bow` off the chord of its ends, as a parabola. */
export const bowedBy = (bow: number, { minX, minY, maxX, maxY }: Box): ((design: Point) => Point) => {
  const isWide = maxX - minX >= maxY - minY;
  const [from, to] = isWide ? [minX, maxX] : [minY, maxY];
  const [middle, half] = [(from + to) / 2, (to - from) / 2];
  return ({ x, y }) => {
    const moved = half === 0 ? 0 : bow * (1 - (((isWide ? x : y) - middle) / half) ** 2);
    return isWide ? { x: 0, y: moved } : { x: -moved, y: 0 };
  };
};
