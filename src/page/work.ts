/** The job of the page: its files in memory, and its check, in full or quickly. */
import {
  type Check,
  checkFit,
  commonOf,
  type Files,
  type Fit,
  findingsOfJob,
  fitOptionsOf,
  judgedFit,
  type LoadedJob,
  objectionsTo,
  spoiledBy,
  type Warning,
  withObjections,
} from '../index.js';

/** Files that were dropped or came with the page, by the path under which a job names them. */
export class MemoryFiles implements Files {
  private readonly files = new Map<string, Uint8Array>();

  add(path: string, bytes: Uint8Array): void {
    this.files.set(path, bytes);
  }

  read(path: string): Uint8Array | undefined {
    return this.files.get(path);
  }
}

/** Errors drawn while a slider is moved: a tenth of those of a check, so that it follows the hand. */
const quickDraws = 256;

/** The check at another clearance, quick and a little rougher; nothing else of the job is worked out again. */
export const quickCheck = (
  loaded: LoadedJob,
  fit: Fit,
  clearance: number,
  warnings: readonly Warning[],
): Check => {
  const { job, observations, touches, edges } = loaded;
  const spoiled = spoiledBy(findingsOfJob(loaded, fit, clearance), job.cut.kind);
  const check = checkFit({
    fit: judgedFit(job, fit),
    observations,
    touches,
    options: fitOptionsOf(job),
    openings: edges,
    face: job.face,
    pierced: job.pierced,
    cut: { ...job.cut, clearance },
    check: job.check,
    common: commonOf(loaded),
    draws: quickDraws,
    brief: true,
  });
  return withObjections(check, objectionsTo(fit, warnings, spoiled));
};
