/** Lines of a drawing that do not close, as the cut takes them. */
import { defaultJoin } from '../../drawing/join/join.js';
import { joinFor } from '../../drawing/join/join-warnings.js';
import type { RoleAssignment } from '../../drawing/roles/roles.js';
import { changeKey } from '../../fit/doubts/remedies.js';
import type { Job } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import { toWrite } from '../../job/to-write.js';

/** Warnings of the drawing's reader, as they hold for this cut. */
export const openPathWarnings = (warnings: readonly Warning[], job: Job, roles: RoleAssignment): Warning[] =>
  warnings.map((warning) => {
    if (warning.code !== 'open-path-left-out') return warning;
    // A cut as drawn takes open lines like all others: one that nearly closes was just not joined.
    return job.cut.kind === 'as-drawn'
      ? { ...warning, code: 'lines-joined' }
      : doubtNearlyClosed(warning, job, roles);
  });

/** An opening that nearly closes is not cut: what was meant has to be said. */
const doubtNearlyClosed = (warning: Warning, job: Job, { openOpenings }: RoleAssignment): Warning => {
  const distance = job.join ?? defaultJoin;
  const nearly = openOpenings.filter(({ openGap }) => openGap !== undefined && openGap.gap > distance);
  if (nearly.length === 0) return warning;
  const value = joinFor(Math.max(...nearly.map(({ openGap }) => openGap!.gap)));
  const names = nearly.map(({ id }) => `"not ${id}"`);
  const shown = names.length > 3 ? [...names.slice(0, 3), '...'] : names;
  return {
    ...warning,
    remedies: [
      ...(value === undefined
        ? []
        : [changeKey('join', value, ', which closes it', { toWrite: (key, to) => toWrite(job, key, to) })]),
      {
        kind: 'change-job',
        step: `close it in the drawing; or write ${shown.join(', ')} among the openings under "roles:", if it is none`,
      },
    ],
  };
};
