/** Marks and touches of a fit in words. */
import type { Fit } from '../../fit/fit.js';
import { counted } from './layout.js';

/** `3 marks`, `2 marks and 5 touches`. */
export const readPoints = ({ marks, touches = [] }: Fit): string =>
  [
    ...(marks.length === 0 ? [] : [counted(marks.length, 'mark')]),
    ...(touches.length === 0 ? [] : [counted(touches.length, 'touch', 'touches')]),
  ].join(' and ');

/** `a rigid`, `an affine`. */
export const withArticle = (word: string): string => `${/^[aeiou]/.test(word) ? 'an' : 'a'} ${word}`;

/** The reading farthest from the fit; undefined without any. */
export const largestResidual = ({ marks, touches = [] }: Fit): { name: string; size: number } | undefined =>
  [
    ...marks.map(({ mark, residual }) => ({ name: mark, size: Math.hypot(residual.x, residual.y) })),
    ...touches.map(({ touch, residual }) => ({ name: touch, size: Math.abs(residual) })),
  ].reduce<{ name: string; size: number } | undefined>(
    (most, one) => (most === undefined || one.size > most.size ? one : most),
    undefined,
  );
