// The settings sheet: three lines, the marked one is edited in place.
import type { App } from '../app/app.ts';
import type { SettingsScreen } from '../app/model.ts';
import { BLANK, type Line, pad, plain, span } from '../text.ts';
import { framed, inputLine } from './frame.ts';

const TITLE = 22;

export function settingsView(app: App, screen: SettingsScreen): Line[] {
  const { columns } = app.state;
  const row = (place: number, title: string, value: Line): Line => [
    span(place === screen.index ? '▸ ' : '  ', 'accent'),
    span(pad(title, TITLE), place === screen.index ? 'title' : 'quiet'),
    ...value,
  ];
  const edited = (place: number, edit: { readonly text: string; readonly cursor: number }): Line =>
    place === screen.index ? inputLine('>', edit, columns - TITLE - 4) : [span(edit.text)];
  const terms =
    screen.terms === 'us' ? 'American (tube, B+, flyback)' : 'British (valve, HT, line output transformer)';
  return framed(app, [
    plain('Settings', 'title'),
    plain('Up and Down choose, typing changes, Space turns the terms, Enter keeps all.', 'quiet'),
    BLANK,
    row(0, 'Name on reports', edited(0, screen.technician)),
    row(1, 'Terms', [span(terms, 'plain', { inverse: screen.index === 1 })]),
    row(
      2,
      'Sessions folder',
      screen.index === 2 || screen.folder.text !== ''
        ? edited(2, screen.folder)
        : [span('the usual place', 'quiet')],
    ),
  ]);
}
