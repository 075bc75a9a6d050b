/* SPDX-License-Identifier: MIT */
/* `gainwarden explain`: what the tables of rules/ say, for people. */
#ifndef GAINWARDEN_EXPLAIN_H
#define GAINWARDEN_EXPLAIN_H

#include "base/options.h"

int command_explain(const struct options *options);

#endif
