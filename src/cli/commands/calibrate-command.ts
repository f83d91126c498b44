/** The subcommands of `reseat calibrate` and their options. */
import type { Command } from 'commander';
import type { MachinePart } from '../../internal.js';
import type { Io } from '../io.js';

/** What a subcommand shares with the rest of the program. */
export interface Shared {
  readonly io: Io;
  readonly end: (status: number) => void;
  readonly json: readonly [flags: string, description: string];
  /** What stands for the jobs of a command. */
  readonly jobFiles: string;
  /** Takes an option's value, and refuses a second one. */
  readonly once: (flag: string) => (value: string, previous: string | undefined) => string;
}

const parts: readonly (readonly [part: MachinePart, description: string, withSd: boolean])[] = [
  ['pointer', 'how well the pointer is read, from repeated returns to marks', false],
  ['bed', 'scales and squareness, from measured lengths between points', true],
  ['kerf', 'width of the cut, from strips, slots, or a hole and its piece', true],
  ['beam', 'where the beam burns, from dots read back with the pointer', false],
];

export const addCalibrate = (program: Command, { io, end, json, jobFiles, once }: Shared): void => {
  const calibrate = program
    .command('calibrate')
    .description('measures the machine once: pointer, bed, kerf, beam; and whether it drifted')
    .helpCommand(false)
    .addHelpText(
      'after',
      `
Start with "reseat calibrate sheet -o sheet.svg": it writes a drawing to cut and
the forms to fill in. Without --profile nothing is written; with it the values
go into that machine profile, and those they replace are kept there with dates.`,
    );
  for (const [part, description, withSd] of parts) {
    const command = calibrate
      .command(part)
      .description(description)
      .argument('<data>', 'measurements: a table (.csv) or YAML')
      .option('--profile <file>', 'write the result into this machine profile', once('--profile'))
      .option('--date <date>', 'day of the measurement (default: today)', once('--date'));
    command.option('--force', 'write although the measurements are in doubt');
    if (part === 'bed')
      command.option(
        '--rule <class>',
        'class of the rule, 1 or 2, or what its certificate allows, as 0.08mm/m',
        once('--rule'),
      );
    if (withSd) command.option('--sd <mm>', 'sd of one measurement, for rows that state none', once('--sd'));
    command.option(...json).action(
      async (
        data: string,
        options: {
          profile?: string;
          date?: string;
          sd?: string;
          rule?: string;
          force?: boolean;
          json?: boolean;
        },
      ) => {
        const { calibratePart } = await import('./calibrate.js');
        const { profile, date, sd, rule, force = false, json = false } = options;
        end(await calibratePart(part, data, { profile, date, sd, rule, force, json }, io));
      },
    );
  }
  calibrate
    .command('sheet')
    .description('the sheet to cut for these measurements, and its forms')
    .option(
      '-o, --output <file>',
      'the drawing, ending in .svg or .dxf; forms are written beside it',
      once('-o'),
    )
    .option('--profile <file>', 'machine profile, for size and axes of the bed', once('--profile'))
    .option('--size <w,h>', 'area to use, mm (default: the bed, or 600,400)', once('--size'))
    .option('--force', 'replace files that exist already')
    .action(async (options: { output?: string; profile?: string; size?: string; force?: boolean }) => {
      const { calibrationSheet } = await import('./calibrate.js');
      const { output, profile, size, force = false } = options;
      end(calibrationSheet({ output, profile, size, force }, io));
    });
  calibrate
    .command('drift')
    .description('whether sizes still agree with the profile, from the readings of jobs')
    .argument('<job...>', jobFiles)
    .option('--date <date>', 'day to judge the age of the profile by (default: today)', once('--date'))
    .option(...json)
    .action(async (jobs: string[], options: { date?: string; json?: boolean }) => {
      const { calibrationDrift } = await import('./calibrate.js');
      end(await calibrationDrift(jobs, { date: options.date, json: options.json ?? false }, io));
    });
  for (const command of calibrate.commands) command.copyInheritedSettings(calibrate);
};
