/* SPDX-License-Identifier: MIT */
/* The one table of commands: what each is called, what it takes, and who does it. */
#ifndef GAINWARDEN_TABLE_H
#define GAINWARDEN_TABLE_H

#include <stdio.h>

#include "base/options.h"

/* The last has no name. */
extern const struct command commands[];

/* What the program is for, and what it can be told to do. */
void commands_print_help(FILE *to);

#endif
