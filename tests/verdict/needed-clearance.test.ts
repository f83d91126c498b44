/** The needed clearance is the one at which the risk is the accepted one, however wide the beam is. */
import { describe, expect, it } from 'vitest';
import { workshop } from '../cli/workshop.js';

describe('the needed clearance', () => {
  it.each([0.2, 3, 6, 9])(
    'at a kerf of %s mm has the accepted risk, and is needed there as well',
    async (kerf) => {
      const shop = workshop();
      const checked = async (clearance: number) => {
        const cut = `clearance: ${clearance}, kerf: ${kerf}`;
        shop.write('wide.yaml', shop.read('job.yaml').replace('clearance: 0.5, kerf: 0.2', cut));
        return JSON.parse((await shop.call('check', '--json', 'wide.yaml')).out);
      };
      const { neededClearance } = await checked(0.5);
      expect(neededClearance).toBeGreaterThan(0.05);
      const there = await checked(neededClearance);
      expect(there.risk / there.acceptedRisk).toBeGreaterThan(0.95);
      expect(there.risk / there.acceptedRisk).toBeLessThan(1.05);
      expect(there.neededClearance / neededClearance).toBeCloseTo(1, 2);
    },
  );
});
