/** Why a cut spoils the piece however well it is aligned; which findings do is decided in cut/findings/finding.ts. */

import { type Finding, findingCodes, spoils } from '../cut/findings/finding.js';
import { headline } from '../cut/findings/finding-words.js';
import type { Job } from '../job/job.js';
import type { Objection } from './objection.js';

/** One objection for each kind of finding that spoils the piece, with the openings that do. */
export const spoiledBy = (findings: readonly Finding[], kind: Job['cut']['kind']): Objection[] =>
  findingCodes.flatMap((code): Objection[] => {
    const own = findings.filter((finding) => finding.code === code && spoils(finding, kind));
    if (own.length === 0) return [];
    const openings = [...new Set(own.flatMap((finding) => finding.openings))];
    return [
      {
        kind: 'spoiled',
        reason: headline(own, kind),
        openings,
        advice: [{ kind: 'change-design', message: remedy(openings, own, kind) }],
      },
    ];
  });

const remedy = (openings: readonly string[], own: readonly Finding[], kind: Job['cut']['kind']): string => {
  const names = openings.length > 3 ? 'these openings' : openings.join(', ');
  const smaller = 'Make the clearance smaller';
  switch (own[0]!.code) {
    case 'opening-vanished':
      return kind === 'inlay'
        ? `${smaller}, or leave ${names} out of the openings under "roles:".`
        : `${smaller}, or make the material within ${names} wider in the drawing.`;
    case 'openings-merged':
      return `Move ${names} apart in the drawing, or cut them one by one: the rest left out under "roles:".`;
    case 'piece-splits':
      return `${smaller}, or make the neck of ${names} wider in the drawing.`;
    case 'breaks-edge':
      return `${smaller}, or move ${names} away from the edge in the drawing.`;
    default:
      return `${smaller}, or leave more material beside ${names} in the drawing.`;
  }
};
