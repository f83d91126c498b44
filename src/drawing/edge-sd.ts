/**
 * A drawing made from a measured piece says how well its edges are known: the standard deviation
 * along the normal, mm. In SVG the root element bears it as `data-edge-sd`; in DXF a comment (group
 * 999) holds it as a sentence.
 */
import type { Job } from '../job/job.js';
import type { Drawing } from './model/drawing.js';

/** What the comment of a DXF file says. */
export const edgeSdRemark = (sd: number): string => `edge-sd: ${sd.toFixed(4)} mm`;

/** A comment before the first section, at the head of a file. */
const remark = /^ *999[ \t]*\r?\nedge-sd: (\d+(?:\.\d+)?) mm[ \t]*\r?$/m;
const headOfFile = 4096;

/** Undefined where no comment at the head of a DXF file says so. */
export const edgeSdInDxf = (bytes: Uint8Array): number | undefined => {
  const head = String.fromCharCode(...bytes.subarray(0, headOfFile));
  const found = remark.exec(head);
  return found === null ? undefined : Number(found[1]);
};

/** Undefined where the attribute is no length in mm. */
export const edgeSdInAttribute = (text: string | undefined): number | undefined =>
  text !== undefined && /^\d+(\.\d+)?$/.test(text.trim()) ? Number(text) : undefined;

/** The job, with the sd of the edges that its drawing states where the job states none. */
export const withEdgeSd = (job: Job, { edgeSd }: Drawing): Job =>
  edgeSd === undefined || job.check.edgeSd !== undefined ? job : { ...job, check: { ...job.check, edgeSd } };
