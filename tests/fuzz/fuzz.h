/* SPDX-License-Identifier: MIT */
/* What libFuzzer calls. Both bodies stand in each target.
 */
#ifndef GAINWARDEN_FUZZ_H
#define GAINWARDEN_FUZZ_H

#include <stddef.h>
#include <stdint.h>

/* Once, before the first input. */
int LLVMFuzzerInitialize(int *argc, char ***argv);

/* One input. What must hold is asserted; the sanitizers see the rest. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

#endif
