// What one person prefers on this screen: language and units. Kept in the browser, told to nobody.
export type Language = 'en' | 'de'
export type Units = 'metric' | 'US'

interface Kept {
  language: Language
  units: Units | null // null: as the plan says
}

const KEY = 'littoral.settings'

function first(): Kept {
  const kept: Kept = { language: typeof navigator !== 'undefined' && navigator.language.toLowerCase().startsWith('de') ? 'de' : 'en', units: null }
  try {
    const read = JSON.parse(localStorage.getItem(KEY) ?? '{}') as Partial<Kept>
    if (read.language === 'en' || read.language === 'de') kept.language = read.language
    if (read.units === 'metric' || read.units === 'US') kept.units = read.units
  } catch {
    // a store that is closed or broken leaves the first values
  }
  return kept
}

export const settings = $state<Kept>(first())

export function keep(change: Partial<Kept>): void {
  Object.assign(settings, change)
  try {
    localStorage.setItem(KEY, JSON.stringify({ language: settings.language, units: settings.units }))
  } catch {
    // without a store the choice holds until the page is closed
  }
  document.documentElement.lang = settings.language
}

/** An address of the server with the language and units in which its sentences are wished. */
export function told(url: string): string {
  const wish = new URLSearchParams({ lang: settings.language, ...(settings.units ? { units: settings.units } : {}) })
  return `${url}${url.includes('?') ? '&' : '?'}${wish.toString()}`
}
