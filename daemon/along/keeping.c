/* SPDX-License-Identifier: MIT */
#include "along/keeping.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/escape.h"
#include "core/need.h"

enum { AGAIN_MS = 5000, SAID_SIZE = 1400 };

struct keeping {
    struct proved_keeper *keeper;
    struct keeping_owner owner;
    char by[SHOW_NAME_SIZE], note[SHOW_WHY_SIZE];
    struct proofs proofs; /* signed, owned */
    bool owes;
    int64_t tried_ms;
    int kept;
};

struct keeping *
keeping_open(const struct session *session, const struct options *options,
             struct keeping_owner owner, struct problems *problems)
{
    struct keeping *keeping = need_memory(1, sizeof *keeping);

    keeping->owner = owner;
    escape_clean(keeping->by, sizeof keeping->by, options->by ? options->by : "");
    escape_clean(keeping->note, sizeof keeping->note, options->note ? options->note : "");
    keeping->keeper = proved_keeper_open(session, options, problems);
    if (keeping->keeper)
        return keeping;
    free(keeping);
    return NULL;
}

void
keeping_close(struct keeping *keeping)
{
    if (!keeping)
        return;
    proved_keeper_close(keeping->keeper);
    proofs_release(&keeping->proofs);
    free(keeping);
}

/* ---- who and when ---- */

static void
sign(const struct keeping *keeping, struct proof_made *made, int64_t now_ms)
{
    clock_rfc3339_ago(now_ms - made->now_ms, made->at);
    memcpy(made->by, keeping->by, sizeof made->by);
    memcpy(made->note, keeping->note, sizeof made->note);
}

static void
sign_all(struct keeping *keeping, int64_t now_ms)
{
    struct proofs *proofs = &keeping->proofs;

    for (int i = 0; i < proofs->ceiling_count; i++)
        sign(keeping, &proofs->ceilings[i].made, now_ms);
    for (int i = 0; i < proofs->ring_count; i++)
        sign(keeping, &proofs->rings[i].made, now_ms);
    if (proofs->left)
        sign(keeping, &proofs->left_made, now_ms);
}

/* ---- writing ---- */

static void
on_dropped(void *context, const struct proof_ceiling *ceiling, const struct proof_ring *ring)
{
    const struct keeping *keeping = context;
    const struct proof_made *made = ceiling ? &ceiling->made : &ring->made;
    char said[SAID_SIZE];

    snprintf(said, sizeof said,
             "at most %d are kept, of a large desk fewer: the %s of %s makes room. What was kept "
             "before this ring-out is "
             "in %s.1",
             PROOFS_MOST, ceiling ? "ceiling" : "ring", made->at,
             proved_keeper_path(keeping->keeper));
    keeping->owner.said(keeping->owner.context, true, said);
}

static void
say_failed(const struct keeping *keeping, const struct problems *problems)
{
    char said[SAID_SIZE];

    snprintf(said, sizeof said, "NOT KEPT yet: %s; tried again every %d s",
             problems->count > 0 ? problems->lines[0] : "", AGAIN_MS / 1000);
    keeping->owner.said(keeping->owner.context, false, said);
}

static void
try(struct keeping *keeping, int64_t now_ms)
{
    bool again = keeping->tried_ms != 0 && keeping->owes;
    struct problems problems = {0};

    keeping->owes =
        !proved_keeper_add(keeping->keeper, &keeping->proofs, on_dropped, keeping, &problems);
    keeping->tried_ms = now_ms;
    if (!keeping->owes)
        keeping->kept = keeping->proofs.ceiling_count + keeping->proofs.ring_count;
    if (keeping->owes && !again)
        say_failed(keeping, &problems);
    else if (!keeping->owes && again)
        keeping->owner.said(keeping->owner.context, true, "kept now");
    problems_release(&problems);
}

void
keeping_take(struct keeping *keeping, const struct proofs *proofs, int64_t now_ms)
{
    if (proofs->ceiling_count + proofs->ring_count == 0)
        return;
    proofs_release(&keeping->proofs);
    proofs_copy(&keeping->proofs, proofs);
    sign_all(keeping, now_ms);
    try(keeping, now_ms);
}

void
keeping_passed(struct keeping *keeping, int64_t now_ms)
{
    if (keeping->owes && now_ms - keeping->tried_ms >= AGAIN_MS)
        try(keeping, now_ms);
}

const char *
keeping_path(const struct keeping *keeping)
{
    return proved_keeper_path(keeping->keeper);
}

int
keeping_kept(const struct keeping *keeping)
{
    return keeping->kept;
}

bool
keeping_owes(const struct keeping *keeping)
{
    return keeping->owes;
}
