/* SPDX-License-Identifier: MIT */
/* A desk of the demo's size inside the benchmark: a bound socket that plays the desk, datagrams
 * made by hand, and the CPU clock of this thread.
 */
#ifndef GAINWARDEN_BENCH_RIG_H
#define GAINWARDEN_BENCH_RIG_H

#include <netinet/in.h>
#include <stddef.h>
#include <stdint.h>

enum { RIG_INPUTS = 24, RIG_MIXES = 8, RIG_DATAGRAM = 4096 };

struct rig_datagram {
    size_t length;
    uint8_t bytes[RIG_DATAGRAM];
};

/* A UDP socket on loopback at a port of the kernel's choice; ends the program when there is none.
 */
int rig_socket(struct sockaddr_in *address);

/* A send-level message, or a bundle of `count`; each serial has another send or another value than
 * the one before it on the same send. */
void rig_message(struct rig_datagram *datagram, unsigned serial);
void rig_bundle(struct rig_datagram *datagram, unsigned serial, int count);

/* CPU time of this thread, ns. */
int64_t rig_cpu_ns(void);

#endif
