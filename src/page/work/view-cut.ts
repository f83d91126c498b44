/** The cut as the sheet tells of it. */
import type { CutJob, LoadedJob } from '../../internal.js';
import { jobPicture, pathData } from '../../internal.js';
import { apply, compose, inverse, shift } from '../drawn/matrix.js';
import type { CutView, Detail } from './answers.js';
import { isIn } from './view-drawing.js';

type Done = Extract<CutJob, { ok: true }>;

export const cutView = (loaded: LoadedJob, done: Done, details: readonly Detail[]): CutView => {
  const { job, roles } = loaded;
  const { cut, film } = done;
  const { x, y } = job.machine.beamOffset;
  const burnt = shift(x, y);
  const beams = details.map(({ frame, pxPerMm }) => {
    const reach = 200 / pxPerMm;
    const middle = apply(inverse(compose(frame, burnt)), { x: 0, y: 0 });
    return cut.paths
      .filter(({ box }) => isIn(box, middle, reach))
      .map(({ segments, open = false }) => pathData({ segments, closed: !open }, compose(frame, burnt), 4));
  });
  const { openings, outline } = roles;
  const shown = jobPicture({
    job,
    openings: openings.slice(0, 0),
    outline,
    fit: done.fit,
    cut: { ...cut, paths: [] },
  });
  const nc = job.machine.nc;
  return {
    paths: cut.paths.length,
    metres: cut.paths.reduce((sum, path) => sum + path.length, 0) / 1000,
    beams,
    findings: (shown.findings ?? []).map(({ at, label }) => ({ at, label })),
    warnings: done.warnings,
    unproven: done.unproven,
    contradiction: done.contradiction,
    ncReady: nc?.feed !== undefined && nc.beforeCut !== undefined && nc.afterCut !== undefined,
    film:
      film === undefined
        ? undefined
        : {
            direction: film.direction,
            width: film.width,
            overlap: film.overlap,
            length: film.length,
            strips: film.strips.map(({ from, to, length, corners }) => ({ from, to, length, corners })),
            seams: film.seams.map(({ from, to, crosses, corners }) => ({ from, to, crosses, corners })),
          },
  };
};
