import OpusScript from 'opusscript'
import { joinBytes } from './joinBytes.ts'

/** Opus counts time in samples of 48 kHz, whatever it was made from (RFC 7845, section 4). */
const granuleRate = 48_000

/** Length of a packet in seconds. */
const packetSeconds = 0.02

/** Bits a second. Speech of 8 kHz bandwidth needs no more (RFC 6716, section 2.1.1: 16 to 20 kbit/s for wideband). */
const bitRate = 16_000

/** Samples at 48 kHz by which libopus delays speech: 2.5 ms of overlap and 4 ms of compensation in its SILK layer. */
const preSkip = 312

/** Packets on a page: a second of sound, as RFC 7845, section 6, advises, and so never more than 255 segments. */
const packetsPerPage = 50

/** Rates that Opus can be fed at. */
type OpusRate = 8000 | 12000 | 16000 | 24000 | 48000

/**
 * Speech as one Ogg Opus stream.
 * @param samples in -1..1
 * @param serial of the stream; streams that follow each other in a file need different ones (RFC 3533, section 4)
 */
export function encodeOggOpus(
  samples: Float32Array,
  sampleRate: OpusRate,
  serial: number,
): Uint8Array<ArrayBuffer> {
  const packets = encodePackets(samples, sampleRate)
  const end = preSkip + Math.round((samples.length * granuleRate) / sampleRate)
  const pages = [
    oggPage({ serial, sequence: 0, granule: 0, first: true, last: false, packets: [opusHead(sampleRate)] }),
    oggPage({ serial, sequence: 1, granule: 0, first: false, last: false, packets: [opusTags()] }),
  ]
  for (let begun = 0; begun < packets.length; begun += packetsPerPage) {
    const done = Math.min(begun + packetsPerPage, packets.length)
    const last = done === packets.length
    const granule = last ? end : done * packetSeconds * granuleRate
    const page = {
      serial,
      sequence: pages.length,
      granule,
      first: false,
      last,
      packets: packets.slice(begun, done),
    }
    pages.push(oggPage(page))
  }
  return joinBytes(pages)
}

function encodePackets(samples: Float32Array, sampleRate: OpusRate): Uint8Array[] {
  const size = packetSeconds * sampleRate
  const packets: Uint8Array[] = []
  const encoder = new OpusScript(sampleRate, 1, OpusScript.Application.AUDIO)
  try {
    encoder.setBitrate(bitRate)
    // The decoder gives everything late by the pre-skip, so as much silence goes after the last sample.
    for (let at = 0; at < samples.length + (preSkip * sampleRate) / granuleRate; at += size) {
      const packet = Buffer.alloc(size * 2)
      for (let index = 0; index < size; index++) {
        const sample = Math.max(-1, Math.min(1, samples[at + index] ?? 0))
        packet.writeInt16LE(Math.round(sample * 32767), index * 2)
      }
      packets.push(new Uint8Array(encoder.encode(packet, size)))
    }
  } finally {
    encoder.delete()
  }
  return packets
}

/** Identification header (RFC 7845, section 5.1). */
function opusHead(sampleRate: number): Uint8Array {
  const head = new Uint8Array(19)
  const view = new DataView(head.buffer)
  head.set(ascii('OpusHead'))
  head[8] = 1 // version
  head[9] = 1 // channels
  view.setUint16(10, preSkip, true)
  view.setUint32(12, sampleRate, true)
  return head
}

/** Comment header (RFC 7845, section 5.2) with no comments. */
function opusTags(): Uint8Array {
  const vendor = ascii('libopus')
  const tags = new Uint8Array(8 + 4 + vendor.length + 4)
  tags.set(ascii('OpusTags'))
  new DataView(tags.buffer).setUint32(8, vendor.length, true)
  tags.set(vendor, 12)
  return tags
}

interface Page {
  serial: number
  sequence: number
  /** samples at 48 kHz that are complete at the end of this page, the pre-skip among them */
  granule: number
  first: boolean
  last: boolean
  packets: readonly Uint8Array[]
}

/** One page (RFC 3533, section 6). */
function oggPage({ serial, sequence, granule, first, last, packets }: Page): Uint8Array {
  const segments = packets.flatMap((packet) => [
    ...Array.from({ length: Math.floor(packet.length / 255) }, () => 255),
    packet.length % 255,
  ])
  const header = new Uint8Array(27)
  const view = new DataView(header.buffer)
  header.set(ascii('OggS'))
  header[5] = (first ? 2 : 0) | (last ? 4 : 0)
  view.setBigUint64(6, BigInt(granule), true)
  view.setUint32(14, serial, true)
  view.setUint32(18, sequence, true)
  header[26] = segments.length
  const page = joinBytes([header, Uint8Array.from(segments), ...packets])
  new DataView(page.buffer).setUint32(22, checksum(page), true)
  return page
}

/** CRC-32 with the polynomial 0x04c11db7, neither reflected nor inverted (RFC 3533, section 6). */
function checksum(bytes: Uint8Array): number {
  let value = 0
  for (const byte of bytes) {
    value ^= byte << 24
    for (let bit = 0; bit < 8; bit++) value = value & 0x80000000 ? (value << 1) ^ 0x04c11db7 : value << 1
  }
  return value >>> 0
}

function ascii(text: string): Uint8Array {
  return new TextEncoder().encode(text)
}
