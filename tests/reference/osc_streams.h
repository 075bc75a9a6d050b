/* SPDX-License-Identifier: MIT */
/* Reference bytes of Open Sound Control on byte streams, in hexadecimal.
 *
 * Size first: OSC 1.0 specification, M. Wright, 26 March 2002, "OSC Packets": "the stream should
 * begin with an int32 giving the size of the first packet, followed by the contents of the first
 * packet, followed by the size of the second packet".
 * SLIP: RFC 1055, J. Romkey, June 1988, with an END at both ends of a packet ("double END"):
 * OSC 1.1, A. Freed and A. Schmeder, NIME 2009. The packet is the specification's first example
 * (examples page, 29 March 2002); its frames and the stuffing are computed from these rules.
 */
#ifndef GAINWARDEN_REFERENCE_OSC_STREAMS_H
#define GAINWARDEN_REFERENCE_OSC_STREAMS_H

#define REFERENCE_PACKET_HEX "2f6f7363696c6c61746f722f342f6672657175656e6379002c66000043dc0000"
#define REFERENCE_SIZED_HEX "00000020" REFERENCE_PACKET_HEX
#define REFERENCE_SLIP_HEX "c0" REFERENCE_PACKET_HEX "c0"

/* RFC 1055, its code (read in copies of it): END 0300, ESC 0333, ESC_END 0334, ESC_ESC 0335, all
 * octal. */
enum {
    REFERENCE_END = 0300,
    REFERENCE_ESC = 0333,
    REFERENCE_ESC_END = 0334,
    REFERENCE_ESC_ESC = 0335
};

/* RFC 1055: an END in the data is sent as ESC ESC_END, an ESC as ESC ESC_ESC; with both ENDs. */
#define REFERENCE_STUFFED_PLAIN_HEX "c0dbdcdd"
#define REFERENCE_STUFFED_HEX "c0dbdcdbdddcddc0"

#endif
