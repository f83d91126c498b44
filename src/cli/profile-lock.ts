/** One call at a time works on a machine profile: each reads what the others have written. */
import { lock } from 'proper-lockfile';
import { InputError } from '../internal.js';
import type { Target } from './save.js';

/** A call takes well under a second; one that was killed leaves a lock that nobody renews. ms. */
const renewed = 5000;
const patience = { retries: 100, factor: 1, minTimeout: 100, maxTimeout: 100, randomize: true };

/**
 * Does the work while no other call of reseat works on the same profile, which need not exist yet.
 *
 * @throws InputError when another call holds it for longer than any takes
 */
export const alone = async <T>(profile: Target, work: () => T): Promise<T> => {
  const release = await lock(profile.absolute, { realpath: false, stale: renewed, retries: patience }).catch(
    (error: { code?: string; message: string }) => {
      const isHeld = error.code === 'ELOCKED';
      throw new InputError({
        found: isHeld
          ? 'a profile that another call works on'
          : `a profile that cannot be locked: ${error.message}`,
        expected: 'a profile that can be written',
        where: { file: profile.path },
        next: isHeld
          ? 'Call again when it has ended. Nothing was written.'
          : 'Check the permissions of its folder.',
      });
    },
  );
  try {
    return work();
  } finally {
    await release();
  }
};
