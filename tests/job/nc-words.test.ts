import { describe, expect, it } from 'vitest';
import { updateProfile } from '../../src/calibration/profile.js';
import { readProfileText } from '../../src/job/read/read-machine.js';
import { jobOf, least, messageOf } from './message-of.js';

const ncOf = (text: string) => readProfileText('bench.yaml', text).nc;

const full = `name: Bench # the small one
nc:
  feed: 1200 # mm per minute
  tool-on: [M3 S400, G4 P0.1]
  tool-off: M5 # beam off
  header:
    - "%"
    - G54
  footer: M2
  decimals: 3
  arcs: false
kerf: 0.2
`;

describe('nc in a machine profile', () => {
  it('holds feed, tool words, header and footer', () => {
    expect(ncOf(full)).toEqual({
      feed: 1200,
      toolOn: ['M3 S400', 'G4 P0.1'],
      toolOff: ['M5'],
      header: ['%', 'G54'],
      footer: ['M2'],
      decimals: 3,
      arcs: false,
    });
  });

  it('makes up neither feed nor tool words', () => {
    expect(ncOf('nc: {}')).toEqual({ header: [], footer: [], decimals: 4, arcs: true });
    expect(ncOf('name: Bench')).toBeUndefined();
  });

  it('is overridden key by key in a job', () => {
    const job = jobOf(`${least}machine: {profile: bench.yaml, nc: {feed: 300}}`, { 'bench.yaml': full });
    expect(job.machine.nc).toMatchObject({ feed: 300, toolOn: ['M3 S400', 'G4 P0.1'], decimals: 3 });
  });

  it.each([
    [
      'nc: {speed: 3}',
      'the unknown key "speed" in nc; expected feed, tool-on, tool-off, header, footer, decimals or arcs',
    ],
    ['nc: {feed: 0}', 'nc.feed is 0; expected a number in mm per minute, above 0'],
    ['nc: {feed: fast}', 'nc.feed is "fast"; expected a number in mm per minute'],
    ['nc: {decimals: 2}', 'nc.decimals is 2; expected a number, 3 or more'],
    ['nc: {decimals: 3.5}', 'nc.decimals is 3.5; expected a whole number'],
    ['nc: {arcs: maybe}', 'nc.arcs is "maybe"; expected true or false'],
    ['nc: {tool-on: []}', 'nc.tool-on is an empty list; expected at least one line'],
    ['nc: {tool-on: "M3 ß"}', 'nc.tool-on is "M3 ß"; expected at most 80 plain characters (ASCII)'],
    [`nc: {footer: ${'M'.repeat(81)}}`, 'expected at most 80 plain characters (ASCII)'],
    ['nc: {tool-on: M3 G91}', 'expected words that switch the tool, without G91: it would move the head'],
    ['nc: {tool-off: [M5, "g0 x0 Y0"]}', 'without X0: it would move the head'],
    ['nc: {tool-on: G020 M3}', 'without G20'],
  ])('refuses %s', (text, message) => {
    expect(messageOf(() => ncOf(text))).toContain(message);
  });

  it('takes a plunge and comments for tool words', () => {
    expect(ncOf('nc: {tool-on: ["G1 Z-2 F100 (down to X)", "M3 ; not G91"]}')!.toolOn).toHaveLength(2);
  });

  it('survives a calibration that writes into the profile, comments and all', () => {
    const { text } = updateProfile(
      { path: 'bench.yaml', text: full },
      { part: 'kerf', set: { kerf: 0.214, 'kerf-sd': 0.008 }, remove: [] },
      '2026-11-25',
    );
    expect(ncOf(text)).toEqual(ncOf(full));
    const own = full.slice(full.indexOf('nc:'), full.indexOf('kerf:'));
    expect(text).toContain(own);
    const again = updateProfile(
      { path: 'bench.yaml', text },
      { part: 'pointer', set: { 'reading-sd': 0.05 }, remove: [] },
      '2026-11-26',
    );
    expect(ncOf(again.text)).toEqual(ncOf(full));
  });
});
