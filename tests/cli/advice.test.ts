/** Advice that no reading again would mend: followed to the letter, it does. Figures: made here from a known placement. */
import { describe, expect, it } from 'vitest';
import { type Workshop, workshop } from './workshop.js';

const marks = { A: [20, 25], B: [380, 30], C: [372, 275], D: [60, 270] } as const;
const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="300mm" viewBox="0 0 400 300">
<g id="marks">${Object.entries(marks)
  .map(([id, [x, y]]) => `<circle id="${id}" cx="${x}" cy="${300 - y}" r="1"/>`)
  .join('')}</g><g id="openings"><circle id="moon" cx="200" cy="150" r="30"/></g>
<g id="outline"><rect id="edge" width="400" height="300"/></g></svg>`;

const job = (names: string, sd: string, per = 1, off = 0): string => {
  const lines = [...names].map((name, k) => {
    const [x, y] = marks[name as keyof typeof marks];
    const at = [0.96 * x - 0.28 * y + 300, 0.28 * x + 0.96 * y + 100];
    const error = [0.05, -0.06, 0.04, -0.05][k]!;
    return `${name}: [${((at[0]! + error + (name === 'B' ? off : 0)) / per).toFixed(3)}, ${((at[1]! - error) / per).toFixed(3)}]`;
  });
  return `drawing: screen.svg\nreadings: {${lines.join(', ')}}\nfit: {reading-sd: ${sd}}\ncut: {clearance: 0.6}\n`;
};

const adviceOf = async (shop: Workshop, text: string) => {
  shop.write('screen.svg', svg);
  shop.write('job.yaml', text);
  const { out } = await shop.call('check', '--json', 'job.yaml');
  return JSON.parse(out) as {
    verdict: string;
    advice: { kind: string; message: string; set: { value: string } | null }[];
  };
};

describe('a mistake that reading again does not mend', () => {
  it.each(['0.003', '40'])('a reading-sd of %s: the one that the readings show', async (sd) => {
    const shop = workshop();
    const before = await adviceOf(shop, job('ABCD', sd));
    expect([before.verdict === 'fits', before.advice[0]!.kind]).toEqual([false, 'change-job']);
    const after = await adviceOf(shop, job('ABCD', before.advice[0]!.set!.value));
    expect(after.verdict).toBe('fits');
  });

  it('a display in inches, and a drawing that states mm: the readings are multiplied', async () => {
    const shop = workshop();
    const before = await adviceOf(shop, job('ABCD', '0.06', 25.4));
    expect(before.advice[0]!.message).toMatch(/^Write the readings in mm.* by 25\.4|inches/);
    expect(before.advice.some(({ message }) => /units: mm/.test(message))).toBe(false);
    expect((await adviceOf(shop, job('ABCD', '0.06'))).verdict).toBe('fits');
  });

  it('one wrong digit among three marks: a model that leaves no residual is not the first advice', async () => {
    const shop = workshop();
    const before = await adviceOf(shop, job('ABC', '0.06', 1, 0.4));
    expect([before.verdict === 'fits', before.advice[0]!.kind]).toEqual([false, 'read-again']);
  });
});
