import { standardRecipes, type Recipe } from '../../coffee/index.ts'
import { names, recipeCards, type RecipeCard } from '../../logbook/index.ts'
import type { Companion } from '../companion.ts'

/** What the log of all devices holds beyond the shift. */
export interface Standing {
  /** the house recipe's parts that devices set without knowing of each other */
  readonly contested: RecipeCard['contested']
  /** people who have a name, by number */
  readonly people: readonly { number: number; name: string }[]
  /** a person's number, with the name where there is one */
  person(number: number): string
  close(): void
}

/** Follows it, and lets the bar work with the house recipe that other devices changed. */
export function followStanding({
  bar,
  clock,
  logbook,
  say,
  tell,
}: Pick<Companion, 'bar' | 'clock' | 'logbook' | 'say' | 'tell'>): Standing {
  let contested = $state.raw<RecipeCard['contested']>([])
  let people = $state.raw<Standing['people']>([])
  /** the house recipe as it was last read */
  let house: Recipe | null = null
  /** it is another than the bar works with */
  let isNews = false

  async function read() {
    const standing = await logbook.days.standing()
    people = names(standing)
      .filter(({ what }) => what === 'person')
      .sort((a, b) => a.number - b.number)
    const card = recipeCards(standing).find(({ recipe }) => recipe === 'house')
    const more = (card?.contested.length ?? 0) > contested.length
    contested = card?.contested ?? []
    const next: Recipe | null = card ? { ...standardRecipes.double, ...card.values, name: 'house' } : null
    isNews = next !== null && !isSame(next, house) && !isSame(next, own())
    house = next
    if (more) say('house.contested')
    offer()
  }

  /** The bar takes another recipe only between two shots; until then it is offered again with each change. */
  function offer() {
    if (!isNews || !house) return
    tell({ type: 'house card', house, at: clock.now() })
    isNews = !isSame(house, own())
  }
  const own = () => bar.getSnapshot().children.loop?.getSnapshot().context.recipes.house ?? null

  let place = ''
  const following = bar.subscribe(({ children }) => {
    const next = JSON.stringify(children.loop?.getSnapshot().value)
    if (next === place) return
    place = next
    // not while the machine is at it
    queueMicrotask(offer)
  })
  const unfollow = logbook.onStanding(() => void read())
  void read()

  return {
    get contested() {
      return contested
    },
    get people() {
      return people
    },
    person(number) {
      const name = people.find((each) => each.number === number)?.name
      return name === undefined ? String(number) : `${number} ${name}`
    },
    close() {
      unfollow()
      following.unsubscribe()
    },
  }
}

/** Whether two recipes are the same in every number. */
function isSame(one: Recipe | null, other: Recipe | null): boolean {
  if (!one || !other) return one === other
  return (
    one.dose === other.dose &&
    one.basket === other.basket &&
    one.window.opens === other.window.opens &&
    one.window.closes === other.window.closes &&
    (one.yield.by === 'mass'
      ? other.yield.by === 'mass' && one.yield.grams === other.yield.grams
      : other.yield.by === 'volume' && one.yield.millilitres === other.yield.millilitres)
  )
}
