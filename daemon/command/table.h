/* SPDX-License-Identifier: MIT */
/* The one table of commands: what each is called, what it takes, and who does it; and what is told
 * of them.
 */
#ifndef GAINWARDEN_TABLE_H
#define GAINWARDEN_TABLE_H

#include <stddef.h>
#include <stdio.h>

#include "base/options.h"

/* The last has no name. */
extern const struct command commands[];

/* What the program is for, and what it can be told to do. */
void commands_print_help(FILE *to);

/* Words by number; NULL behind the last. */
typedef const char *completion_words_fn(size_t i);

/* What bash needs to complete the words of this program, as a script for it to read, on standard
 * output: it knows what the program knows. `topic` is what stands for TOPIC. */
void completion_print(const struct command *all, completion_words_fn *topic);

/* Who does it. */
command_fn command_approve, command_audit, command_board, command_check, command_compare,
    command_explain, command_listen, command_proved, command_quiet, command_reload, command_replay,
    command_retrim, command_review, command_ring_out, command_room, command_stage, command_status,
    command_tell_test;

#endif
