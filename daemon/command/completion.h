/* SPDX-License-Identifier: MIT */
/* What bash needs to complete the words of this program, made from the tables of commands, options
 * and checks, so that it knows what the program knows.
 */
#ifndef GAINWARDEN_COMPLETION_H
#define GAINWARDEN_COMPLETION_H

#include <stddef.h>

#include "base/options.h"

/* Words by number; NULL behind the last. */
typedef const char *completion_words_fn(size_t i);

/* A script for bash to read, on standard output; `topic` is what stands for TOPIC. */
void completion_print(const struct command *commands, completion_words_fn *topic);

#endif
