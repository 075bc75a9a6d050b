/* What bash needs to complete the words of this program, made from the tables of commands, options
 * and checks, so that it knows what the program knows.
 */
#ifndef GAINWARDEN_COMPLETION_H
#define GAINWARDEN_COMPLETION_H

#include <stdio.h>

/* A script for bash to read. */
void completion_print(FILE *to);

#endif
