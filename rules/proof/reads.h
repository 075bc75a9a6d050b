/* SPDX-License-Identifier: MIT */
#ifndef GAINWARDEN_RULES_PROOF_READS_H
#define GAINWARDEN_RULES_PROOF_READS_H

#include "proof/pair.h"

/* What all of it rests on, for the tables of checks. */
#define PROOF_READS                                                                                \
    SIDE_OPEN_READS, PATH_INPUT_FILTER_READS, PATH_MIX_FILTER_READS, PAIR_READS, PARAM_INPUT_NAME, \
        PARAM_MIX_NAME

#endif
