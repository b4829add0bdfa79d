// Invented sets of the maker Tarnhollow for walks in tests: what is wrong with them, and what is then read where it differs from a healthy set.
import type { SetFacts } from '../../src/rulebook/types.ts';

export const BENCH: readonly string[] = [
  'dmm',
  'hv-probe',
  'picture-tube-tester',
  'tube-tester',
  'isolation-transformer',
  'variac',
  'lamp-limiter',
  'low-z-adapter',
  'bench-fuse',
  'hv-discharge-stick',
  'ring-tester',
  'signal-generator',
];

export const MERIDIAN: SetFacts = {
  name: 'Tarnhollow Meridian 21 (invented)',
  owner: 'Ines (invented)',
  question: 'Is it worth an overhaul?',
  family: 'series-doubler-halfwave',
  standard: '525',
  lineVolts: 117,
  ratedVolts: 117,
  ratedWatts: 165,
  pictureTube: '21YP4A',
  tubes: { 'horizontal-output': '6DQ6A' },
  complaint: [],
  restored: 'none',
  storage: 'dry',
  facts: {
    rectifier: 'selenium',
    'video-drive': 'cathode',
    'line-stage': 'driven',
    deflection: '90',
    'video-coupling': 'dc',
    'crt-construction': 'glass-coated',
    hv: 'flyback',
    agc: 'gated',
    sound: 'intercarrier-video',
    'horizontal-sync': 'afc-diodes',
    stacked: 'no',
    'set-kind': 'ordinary',
    focus: 'low-v',
    'ion-trap': 'none',
    'chassis-board': 'hand-wired',
    'vertical-feed': 'boost',
  },
  serviceData: {},
};

/**
 * Leaky grid-coupling capacitor at the horizontal output, and heater-cathode leakage in the picture tube. Values follow common
 * practice (no source): drive half, grid positive with the oscillator stopped, current up, screen and boost down; brightness that will not go out.
 */
export const LEAK_AND_HEATER_CATHODE: Readonly<Record<string, string>> = {
  'horizontal-output-grid-drive': '-19',
  'horizontal-output-stopped-grid': '3.2',
  'horizontal-output-stopped-tube-out': '3.1',
  'horizontal-output-coupling-lifted': '38',
  'horizontal-output-cathode-current': '131',
  'horizontal-output-screen': '112',
  'boost-ratio': '395 258',
  'raster-width': 'slightly-narrow',
  'anode-hv-dark': '13.6',
  'flyback-killers-renewed': 'as-found',
  'picture-tube-shorts': 'heater-cathode',
  'picture-tube-heater-cathode': '0.3M',
  'brightness-range': 'never-out',
  'raster-brightness': 'too-bright',
  'blanking-look': 'lines',
  'gun-bias-dark': '102 120',
  'gun-bias-bright': '114 120',
};
