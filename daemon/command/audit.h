/* SPDX-License-Identifier: MIT */
/* `gainwarden audit`: one reading, one report. */
#ifndef GAINWARDEN_AUDIT_H
#define GAINWARDEN_AUDIT_H

#include "base/options.h"

int command_audit(const struct options *options);

#endif
