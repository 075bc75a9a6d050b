/* SPDX-License-Identifier: MIT */
/* `gainwarden tell-test`: one marked message to the show's chat hook. */
#ifndef GAINWARDEN_TELL_TEST_H
#define GAINWARDEN_TELL_TEST_H

#include "base/options.h"

int command_tell_test(const struct options *options);

#endif
