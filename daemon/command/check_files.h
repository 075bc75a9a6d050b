/* SPDX-License-Identifier: MIT */
/* `gainwarden check`: mistakes in profiles and show files. */
#ifndef GAINWARDEN_CHECK_FILES_H
#define GAINWARDEN_CHECK_FILES_H

#include "base/options.h"

int command_check(const struct options *options);

#endif
