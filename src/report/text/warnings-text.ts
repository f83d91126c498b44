/** Warnings for a person: each a bullet with its code, so that it can be looked up. */
import type { Warning } from '../../job/messages.js';
import { counted, wrapped } from './layout.js';

/** An empty line, a title and the warnings; nothing when there are none. */
export const warningLines = (warnings: readonly Warning[]): string[] =>
  warnings.length === 0 ? [] : ['', `${counted(warnings.length, 'warning')}:`, ...bulletLines(warnings)];

export const bulletLines = (warnings: readonly Warning[]): string[] =>
  warnings.flatMap((w) => wrapped(`${w.code}: ${w.message}`, '  - '));
