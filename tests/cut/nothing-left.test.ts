/** A cut without a single path is refused with the reason. */
import { describe, expect, it } from 'vitest';
import { jobText, workshop } from '../cli/workshop.js';

const said = async (drawing: string, change: (text: string) => string = (text) => text) => {
  const shop = workshop();
  shop.write('panel.svg', drawing);
  shop.write('job.yaml', change(jobText()));
  const { status, err } = await shop.call('cut', 'job.yaml', '-o', 'a.svg');
  expect(status).toBe(2);
  expect(shop.files()).toEqual(['job.yaml', 'panel.svg']);
  return err;
};

const page = (openings: string): string =>
  `<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100"><g id="marks"><circle id="A" cx="10" cy="90" r="1"/><circle id="B" cx="190" cy="90" r="1"/><circle id="C" cx="190" cy="10" r="1"/><circle id="D" cx="10" cy="10" r="1"/></g>${openings}<rect id="outline" width="200" height="100"/></svg>`;

describe('a cut of which nothing comes', () => {
  it('is refused where pieces shrink to nothing, at the clearance', async () => {
    const err = await said(page('<g id="openings"><circle id="moon" cx="60" cy="50" r="10"/></g>'), (text) =>
      text.replace('cut: {clearance: 0.5', 'cut: {kind: inlay, clearance: 11'),
    );
    expect(err).toMatch(/job\.yaml:\d+:\d+, cut\.clearance/);
    expect(err).toContain('nothing is left of any of the 1 openings');
    expect(err).toContain('Make "clearance" smaller');
  });

  it('is refused where the openings are open lines', async () => {
    const err = await said(page('<g id="openings"><path id="line" d="M30 30h50"/></g>'));
    expect(err).toMatch(/closed path/);
  });

  it('is refused where nothing but marks is drawn, of a cut as drawn', async () => {
    const err = await said(page('').replace('<rect id="outline" width="200" height="100"/>', ''), (text) =>
      text.replace(/cut: \{.*\}/, 'cut: {kind: as-drawn}'),
    );
    expect(err).toMatch(/ {2}found: {4}.*\n {2}expected: .*\n {2}next: /);
    expect(err).toMatch(/cut as drawn|as drawn/);
  });
});
