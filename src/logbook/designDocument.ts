/**
 * The design document of a chain's database, for any server that speaks the CouchDB 3 protocol. Its functions run in
 * the server, so they are plain old JavaScript in strings.
 */
export const designName = '_design/earshot'

/** What one bar's devices ask for: `_changes?filter=earshot/bar&bar=NAME`. */
const barFilter = `function (doc, request) {
  return doc.bar === request.query.bar
}`

/**
 * Counts of shots, practice left out: the key is bar, coffee, year, month and day (UTC), the value shots and shots in
 * the window. Amendments bring what they change, so the sums are of what holds.
 */
const shotCounts = `function (doc) {
  if (!doc.entry || !doc.bar) return
  var stamp = Number(doc._id.slice(0, 13))
  if (doc.effect) {
    stamp = doc.of ? Number(doc.of.slice(0, 13)) : stamp
    var amended = new Date(stamp)
    emit(
      [doc.bar, doc.effect.coffee, amended.getUTCFullYear(), amended.getUTCMonth() + 1, amended.getUTCDate()],
      [doc.effect.shots, doc.effect.inWindow]
    )
  }
  if (doc.entry.kind !== 'shot' || doc.entry.practice) return
  var date = new Date(stamp)
  var isIn = doc.entry.seconds >= doc.entry.windowOpens && doc.entry.seconds <= doc.entry.windowCloses
  emit(
    [doc.bar, doc.entry.coffee, date.getUTCFullYear(), date.getUTCMonth() + 1, date.getUTCDate()],
    [1, isIn ? 1 : 0]
  )
}`

/**
 * Lets records in as they are written by the log, lets a person be erased from them, and lets nothing else change.
 * A user with a role \`bar NAME\` writes for that bar only; administrators write for all.
 */
const validate = `function (doc, before, user) {
  if (doc._id.slice(0, 8) === '_design/') return
  function refuse(reason) { throw { forbidden: reason } }
  function has(list, item) { return list && list.indexOf(item) >= 0 }
  var isAdmin = has(user.roles, '_admin')
  var bar = doc._deleted ? before && before.bar : doc.bar
  var bars = (user.roles || []).filter(function (role) { return role.slice(0, 4) === 'bar ' })
  if (!isAdmin && bars.length > 0 && bar && !has(bars, 'bar ' + bar)) refuse('not a bar of yours')
  if (doc._deleted) {
    // only what tells of a person and nothing else is ever removed
    var gone = before && before.entry
    var isPersonal = gone && (gone.kind === 'person chosen' || gone.kind === 'drill scored' ||
      (gone.kind === 'named' && gone.what === 'person'))
    if (before && !before._deleted && !isPersonal && !isAdmin) refuse('records are not removed')
    return
  }
  if (!/^[0-9]{13}-[a-z0-9]{4,16}-[0-9]{7}$/.test(doc._id)) refuse('not a record id')
  if (typeof doc.bar !== 'string' || !/^[a-z0-9-]{1,40}$/.test(doc.bar)) refuse('bar is missing')
  if (doc._id.split('-')[1] !== doc.device) refuse('device is not the one in the id')
  if (typeof doc.version !== 'number' || !doc.entry || typeof doc.entry.kind !== 'string') refuse('not a record')
  if (!before || before._deleted) return
  // the same text for the same content, whatever order the fields come in; the database's own fields left out
  function textOf(value) {
    if (typeof value !== 'object' || value === null) return JSON.stringify(value)
    return Object.keys(value).sort().filter(function (key) {
      return key.charAt(0) !== '_' && !(value === doc.entry && key === 'person') && !(value === before.entry && key === 'person')
    }).map(function (key) { return JSON.stringify(key) + ':' + textOf(value[key]) }).join()
  }
  if (doc.entry.person !== undefined && doc.entry.person !== before.entry.person) refuse('records do not change')
  if (textOf(doc) !== textOf(before)) refuse('records do not change')
}`

/** To be put into the database by its administrator; see `setUpServer`. */
export const designDocument = {
  _id: designName,
  language: 'javascript',
  filters: { bar: barFilter },
  views: { shots: { map: shotCounts, reduce: '_sum' } },
  validate_doc_update: validate,
}

/** A row of the chain's figures. */
export interface ChainFigures {
  bar: string
  coffee: number
  shots: number
  inWindow: number
}

/** The rows of `_view/shots?group_level=2` as figures; what is none in a server's answer is passed over. */
export function readChainFigures(answer: unknown): ChainFigures[] {
  const { rows } = (answer ?? {}) as { rows?: unknown }
  if (!Array.isArray(rows)) return []
  return rows.flatMap((row: unknown) => {
    const { key, value } = (row ?? {}) as { key?: unknown; value?: unknown }
    const [bar, coffee] = Array.isArray(key) ? (key as unknown[]) : []
    const [shots, inWindow] = Array.isArray(value) ? (value as unknown[]) : []
    return typeof bar === 'string' &&
      typeof coffee === 'number' &&
      typeof shots === 'number' &&
      typeof inWindow === 'number'
      ? [{ bar, coffee, shots, inWindow }]
      : []
  })
}
