/** The further sheets: what is asked of the worker beside the job itself. */
import type { Files } from '../index.js';
import type { Answer, Question } from './answers.js';

export const answerFurther = (
  _question: Exclude<Question, { kind: 'job' | 'slide' | 'save' }>,
  _reader: Files,
  _say: (answer: Answer) => void,
): void => {};
