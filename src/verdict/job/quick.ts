/** Whether the verdict is soon enough there to go along with a cut. */
import type { Shape } from '../../drawing/model/drawing.js';
import { sizeOfPath } from '../../geometry/stored-path.js';
import type { Job } from '../../job/job.js';

/**
 * Up to this many lines and curves the cut carries its verdict; beyond it "reseat check" is named. The verdict takes about
 * twice as long as the cut: 1.8 s beside 0.9 s for 16,000 curves. Lines cut as drawn are only moved, which is soon done.
 */
const quicklyChecked = (kind: Job['cut']['kind']): number => (kind === 'as-drawn' ? 5000 : 50_000);

export const isQuicklyChecked = (edges: readonly Shape[], kind: Job['cut']['kind']): boolean => {
  const most = quicklyChecked(kind);
  let count = 0;
  for (const shape of edges) {
    for (const path of shape.paths) count += sizeOfPath(path);
    if (count > most) return false;
  }
  return true;
};
