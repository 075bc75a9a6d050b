/* The promise that gainwarden only reads, as a property of a profile: no question or renewal may be
 * a message with which the desk could be told to move something.
 */
#ifndef GAINWARDEN_READ_ONLY_H
#define GAINWARDEN_READ_ONLY_H

#include <stdbool.h>

#include "profile.h"

/* Adds a problem for each question or renewal that carries an argument to an address that an answer
 * of the profile also uses: on many desks an address with an argument is a move. An entry that says
 * "this_only_asks" is let pass. */
void read_only_check(const struct profile *profile, const struct where *file);

/* Whether some address could be meant by both. Cautious: letter case does not count, an index is
 * any number, and the pattern characters of an OSC address stand for anything. */
bool read_only_may_meet(const struct pattern *one, const struct pattern *other);

#endif
