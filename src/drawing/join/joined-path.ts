/** Parts of several paths as one path. */
import type { Path, Segment } from '../../geometry/curve.js';
import { meet, meetItself } from './doubtful/meet.js';
import { type Part, segmentsOf } from './doubtful/piece.js';

/** Parts end to end as one path. A piece that stands alone and open is the path it was. */
export const joinedPath = (parts: readonly Part[], closed: boolean, reach: number): Path => {
  if (parts.length === 1 && !closed) return parts[0]!.piece.path;
  const segments: Segment[] = [];
  const follow = (next: Segment): void => {
    const before = segments.pop()!;
    const meeting = meet(before, next, reach);
    segments.push(meeting.before);
    if (meeting.bridge !== undefined) segments.push(meeting.bridge);
    segments.push(meeting.after);
  };
  for (const part of parts) {
    segmentsOf(part).forEach((s, i) => {
      if (segments.length === 0 || i > 0) segments.push(s);
      else follow(s);
    });
  }
  if (!closed) return { segments: segments.filter(hasLength), closed };
  if (segments.length === 1) return { segments: meetItself(segments[0]!), closed };
  const { before, after, bridge } = meet(segments.at(-1)!, segments[0]!, reach);
  segments[0] = after;
  segments[segments.length - 1] = before;
  if (bridge !== undefined) segments.push(bridge);
  return { segments: segments.filter(hasLength), closed };
};

const hasLength = (s: Segment): boolean => s.kind !== 'line' || s.from.x !== s.to.x || s.from.y !== s.to.y;
