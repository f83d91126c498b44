/** Millimetres in one unit of length. */
import type { LengthUnit } from '../../job/job.js';

/**
 * in, cm, pt, pc, px and q as in W3C CSS Values and Units 3, section 6.2 (1in = 2.54cm = 96px, 1pt
 * = 1/72in, 1pc = 1/6in, 1Q = 1/40cm); the inch of exactly 25.4 mm and the foot of 12 inches are
 * those of the international yard and pound agreement of 1959; mil is a thousandth of an inch.
 */
export const millimetresIn: Readonly<Record<LengthUnit, number>> = {
  mm: 1,
  cm: 10,
  m: 1000,
  um: 0.001,
  in: 25.4,
  ft: 304.8,
  mil: 0.0254,
  pt: 25.4 / 72,
  pc: 25.4 / 6,
  px: 25.4 / 96,
  q: 0.25,
};
