/* SPDX-License-Identifier: MIT */
/* Why datagrams and messages did not become values: the one table of reasons and their counts. */
#ifndef GAINWARDEN_REJECTS_H
#define GAINWARDEN_REJECTS_H

#include <stddef.h>
#include <stdint.h>

#include "osc/check.h"

struct link_rejects {
    uint64_t datagrams[OSC_REJECTS]; /* by osc_reject_name() */
    uint64_t unknown_address, other_arguments, bad_value;
    uint64_t strangers;                      /* datagrams that did not come from the desk */
    uint64_t skipped_frames, broken_streams; /* over TCP */
};

/* Address and type tags of a message that could not be read, as far as there are any, safe to
 * print: "/in/1/x ,[ff"; "" where there is no address. */
const char *rejects_outline(const uint8_t *bytes, size_t length, char *outline, size_t size);

enum { LINK_REASONS = OSC_REJECTS + 6 };

/* The reason as in reports, from 0 on, and its count. */
const char *rejects_reason(size_t i);
uint64_t *rejects_count(struct link_rejects *rejects, size_t i);

#endif
