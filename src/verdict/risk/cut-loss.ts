/** Lost motion in the cut: what it takes of the clearance. */

/**
 * What lost motion r of the axes takes at an edge with normal n on the display's axes, whichever way the cut runs, mm
 * (derived from the sign of travel, n . d = -(rx |nx| - ry |ny|) / 2 in turn with the quadrant, and held against the play
 * operator: A. Visintin, Differential Models of Hysteresis, 1994, from memory):
 *
 *     smooth part of an edge        |rx |nx| - ry |ny|| / 2
 *     straight edges and corners    min(max(rx, ry), rx |nx| + ry |ny|) / 2
 *
 * A loss in either direction of travel, and never a gain: on an edge nearly along an axis the play is not taken up before
 * the edge ends.
 */
export const lossInCut = (
  [rx, ry]: readonly [number, number],
  nx: number,
  ny: number,
  isSmooth: boolean,
): number => {
  const x = Math.abs(rx * nx);
  const y = Math.abs(ry * ny);
  return isSmooth ? Math.abs(x - y) / 2 : Math.min(Math.max(Math.abs(rx), Math.abs(ry)), x + y) / 2;
};
