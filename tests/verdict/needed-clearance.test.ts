/** The needed clearance is the one at which the risk is the accepted one, however wide the beam is. */
import { describe, expect, it } from 'vitest';
import { checkJob, loadJob } from '../../src/reseat.js';
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

  it('is found where crossing inlays, pierced with a wide beam, leave a narrow corner no room', () => {
    const shapes = [
      'M90.268,131.212 A5.582,2.603 122.281 0 1 91.048,125.103 A5.582,2.603 122.281 0 1 96.23,121.774 A5.582,2.603 122.281 0 1 95.45,127.883 A5.582,2.603 122.281 0 1 90.268,131.212 Z',
      'M89.917,129.791 L88.266,129.31 L89.953,123.52 L89.388,123.355 L87.701,129.145 L86.05,128.664 L88.218,121.223 L92.085,122.35 L89.917,129.791 Z',
    ];
    const paths = shapes.map((d, i) => `<path id="o${i}" d="${d}"/>`).join('');
    const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 200 200"><g id="openings">${paths}</g></svg>`;
    const job = {
      drawing: 'd.svg',
      fit: { 'reading-sd': 0.01 },
      pierced: { kerf: 1.5, compensated: false },
      cut: { kind: 'inlay', clearance: 0.1, kerf: 1, corners: 'round' },
      marks: { A: [3, 4], B: [196, 5], C: [190, 195], D: [6, 188] },
      readings: {
        A: [377.065, 338.635],
        B: [376.065, 531.635],
        C: [186.065, 525.635],
        D: [193.065, 341.635],
      },
    };
    const files = { read: () => new TextEncoder().encode(svg) };
    const checked = checkJob(loadJob({ path: 'job.yaml', text: JSON.stringify(job) }, files));
    if (!checked.ok) throw new Error('no fit');
    expect(checked.check.verdict).toBe('does-not-fit');
    expect(checked.check.neededClearance).toBeGreaterThan(0.3);
    expect(checked.check.neededClearance).toBeLessThan(0.6);
  });
});
