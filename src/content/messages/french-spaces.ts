/**
 * Sets the narrow no-break spaces of French before : ; ? ! » and after «, so that its catalogue can
 * be written with plain ones.
 */
export function withFrenchSpaces<T extends Record<string, string>>(messages: T): T {
  const spaced = Object.entries(messages).map(([key, text]) => [
    key,
    text.replaceAll(/ (?=[:;?!»])|(?<=«) /gu, "\u202f"),
  ]);
  return Object.fromEntries(spaced) as T;
}
