import { describe, expect, test } from 'vitest';
import { jobOf, least, messageOf } from './message-of.js';

describe('Faults of the machine profile are told in its own file', () => {
  test.each<[what: string, text: string, message: string, files?: Record<string, string>]>([
    [
      'a profile that is not there',
      `${least}machine: bench.yaml`,
      'jobs/fern.yaml:3:10 (machine) no file jobs/bench.yaml; expected the machine profile that the job names. Correct the path; it counts from the folder of the job file.',
    ],
    [
      'a list for a machine',
      `${least}machine: [bench]`,
      'jobs/fern.yaml:3:10 (machine) machine is a list of one value; expected the path of a machine profile, or a mapping. Write it behind the colon.',
    ],
    [
      'nothing behind machine',
      `${least}machine:`,
      'jobs/fern.yaml:3:9 (machine) machine is empty; expected the path of a machine profile, or a mapping. Write it behind the colon.',
    ],
    [
      'a misspelt key of the profile',
      `${least}machine: ../bench.yaml`,
      'jobs/../bench.yaml:2:1 (kerff) the unknown key "kerff"; expected format, name, measured, size, axes, reading-sd, reading-sd-dof, reversal, bed-map, bed-map-sd, beam-offset, beam-offset-sd, beam-offset-approach, beam-offset-dots, cut-reversal, display-step, pointing-sd, pointing-bias, kerf, kerf-sd, kerf-dof, cut-sd, cut-sd-dof, nc, inspected or history. Did you mean "kerf"?',
      { '../bench.yaml': 'name: Bench\nkerff: 0.1' },
    ],
    [
      'a profile that starts from another one',
      `${least}machine: {profile: bench.yaml, axes: y-up}`,
      'jobs/bench.yaml:1:1 (profile) the unknown key "profile"; expected format, name, measured, size, axes, reading-sd, reading-sd-dof, reversal, bed-map, bed-map-sd, beam-offset, beam-offset-sd, beam-offset-approach, beam-offset-dots, cut-reversal, display-step, pointing-sd, pointing-bias, kerf, kerf-sd, kerf-dof, cut-sd, cut-sd-dof, nc, inspected or history. Remove it, or use one of these keys.',
      { 'bench.yaml': 'profile: other.yaml' },
    ],
    [
      'a profile of comments only',
      `${least}machine: bench.yaml`,
      'jobs/bench.yaml nothing in the file; expected keys and values. Write one "key: value" on each line.',
      { 'bench.yaml': '# nothing\n' },
    ],
    [
      'a profile in UTF-16',
      `${least}machine: bench.yaml`,
      'jobs/bench.yaml a zero byte (byte 2), as in UTF-16 without its mark or in a file that is no text; expected text in UTF-8. Save the file as UTF-8 text and try again.',
      { 'bench.yaml': 'a\u0000' },
    ],
    [
      'a profile that is missing although it is overridden',
      `${least}machine:\n  profile: bench.yaml\n  kerf: 0.1`,
      'jobs/fern.yaml:4:12 (machine.profile) no file jobs/bench.yaml; expected the machine profile that the job names. Correct the path; it counts from the folder of the job file.',
    ],
    [
      'a date that does not exist',
      `${least}machine: {measured: 2026-02-30}`,
      'jobs/fern.yaml:3:21 (machine.measured) machine.measured is "2026-02-30"; expected a date such as 2026-03-02. Write year-month-day (ISO 8601).',
    ],
    [
      'a date in another order',
      `${least}machine: {measured: 2.3.2026}`,
      'jobs/fern.yaml:3:21 (machine.measured) machine.measured is "2.3.2026"; expected a date such as 2026-03-02. Write year-month-day (ISO 8601), 2026-03-02 or 2026-02-03.',
    ],
    [
      'a date in another order that does not exist',
      `${least}machine: {measured: 31.13.2026}`,
      'jobs/fern.yaml:3:21 (machine.measured) machine.measured is "31.13.2026"; expected a date such as 2026-03-02. Write year-month-day (ISO 8601).',
    ],
    [
      'a bed without height',
      `${least}machine: {size: [1200, 0]}`,
      'jobs/fern.yaml:3:24 (machine.size[2]) machine.size[2] is 0; expected a number in mm, above 0. Correct the number.',
    ],
    [
      'one number for the size of the bed',
      `${least}machine: {size: 1200}`,
      'jobs/fern.yaml:3:17 (machine.size) machine.size is 1200; expected width and height of the bed [w, h] in mm. Write two numbers in brackets, as in [112.42, 96.1].',
    ],
    [
      'axes half spelt',
      `${least}machine: {axes: down}`,
      'jobs/fern.yaml:3:17 (machine.axes) machine.axes is "down"; expected y-up or y-down. Did you mean "y-down"?',
    ],
    [
      'a scale of nothing',
      `${least}machine: {bed-map: {scale: [1, 0]}}`,
      'jobs/fern.yaml:3:32 (machine.bed-map.scale[2]) machine.bed-map.scale[2] is 0; expected a number, 0.01 or more and 100 or less. Correct the number.',
    ],
    [
      'a mirroring scale',
      `${least}machine: {bed-map: {scale: [-1, 1]}}`,
      'jobs/fern.yaml:3:29 (machine.bed-map.scale[1]) machine.bed-map.scale[1] is -1; expected a number, 0.01 or more and 100 or less. Correct the number.',
    ],
    [
      'a skew of half a radian',
      `${least}machine: {bed-map: {skew-mrad: 501}}`,
      'jobs/fern.yaml:3:32 (machine.bed-map.skew-mrad) machine.bed-map.skew-mrad is 501; expected a number in mrad, -500 or more and 500 or less. Correct the number.',
    ],
    [
      'one number for the beam offset',
      `${least}machine: {beam-offset: 0.1}`,
      'jobs/fern.yaml:3:24 (machine.beam-offset) machine.beam-offset is 0.1; expected two numbers [x, y] in mm. Write two numbers in brackets, as in [112.42, 96.1].',
    ],
    [
      'one number for the reversal',
      `${least}machine: {reversal: 0.1}`,
      'jobs/fern.yaml:3:21 (machine.reversal) machine.reversal is 0.1; expected the reversal values of x and y [x, y] in mm. Write two numbers in brackets, as in [112.42, 96.1].',
    ],
    [
      'degrees of freedom without their sd',
      `${least}machine: {reading-sd-dof: 4}`,
      'jobs/fern.yaml:3:27 (machine.reading-sd-dof) machine.reading-sd-dof is 4; expected "reading-sd" beside it. State the reading-sd that these degrees of freedom belong to.',
    ],
    [
      'a reading without any error',
      `${least}machine: {reading-sd: 0}`,
      'jobs/fern.yaml:3:23 (machine.reading-sd) machine.reading-sd is 0; expected a number in mm, above 0. Write how far one reading strays, such as 0.08, or remove the key: it is then estimated.',
    ],
    [
      'a negative kerf',
      `${least}machine: bench.yaml`,
      'jobs/bench.yaml:1:7 (kerf) kerf is -0.1; expected a number in mm, 0 or more. Correct the number.',
      { 'bench.yaml': 'kerf: -0.1' },
    ],
  ])('%s', (_what, text, message, files) => {
    expect(messageOf(() => jobOf(text, files))).toBe(message);
  });
});
