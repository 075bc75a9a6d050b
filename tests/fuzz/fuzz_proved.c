/* SPDX-License-Identifier: MIT */
/* Bytes as a file of proved ceilings, with the digest put right where they have one, so that the
 * reader meets them. One is read or its problems are told, never both; one that is read comes out
 * as a text that gives the same again, and where its desks have one size, margins are worked out
 * of it: a figure of a mix is a number, or there is none.
 */
#include <assert.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "check/check.h"
#include "fuzz.h"
#include "proof/say.h"
#include "rig.h"
#include "saved/parts.h"
#include "saved/proved.h"

static struct proved_file *
parse(const char *text)
{
    struct problems problems = {0};
    struct proved_file *file = proved_file_parse(text, strlen(text), "proved", &problems);

    assert((file != NULL) == (problems.count == 0));
    problems_print(&problems, rig_nowhere());
    problems_release(&problems);
    return file;
}

static void
mend_digest(char *text)
{
    char *at = strstr(text, SAVED_DIGEST_KEY);

    if (at && strlen(at) >= strlen(SAVED_DIGEST_KEY) + SAVED_DIGEST_SIZE - 1)
        saved_sign(text);
}

static void
check_again(const struct proved_file *file)
{
    char *text = proved_file_text(file), *once_more;
    struct proved_file *again = parse(text);

    assert(again);
    once_more = proved_file_text(again);
    assert(strcmp(once_more, text) == 0);
    free(once_more);
    free(text);
    proved_file_free(again);
}

static bool
fits(const struct proved_file *file, const struct desk *desk)
{
    struct problems problems = {0};
    bool good = proved_file_fits(file, desk, "proved", &problems);

    problems_release(&problems);
    return good;
}

static void
say_all(struct proof *proof, int mixes)
{
    char says[2000];
    struct text text;

    for (int mix = 0; mix < mixes; mix++) {
        const struct proof_mix *of = proof_of_mix(proof, mix);

        assert(of->state != PROOF_LEFT || isfinite(of->margin.db));
        assert(of->margin.allowance_db <= ALLOWANCE_MOST_DB);
        text_init(&text, says, sizeof says);
        proof_says(&text, proof, mix);
    }
    text_init(&text, says, sizeof says);
    proof_says_desk(&text, proof);
}

/* Counts come from the file; large desks are slow, and no different. */
static void
work_out(const struct proved_file *file)
{
    const struct proofs *proofs = &file->proofs;
    const struct desk *now = proofs->left                ? proofs->left
                             : proofs->ceiling_count > 0 ? proofs->ceilings[0].desk
                                                         : NULL;
    struct show *show;
    struct proof *proof;
    int mixes;

    if (!now || proofs->ceiling_count == 0 || desk_count(now, INDEX_INPUT) > 8 ||
        desk_count(now, INDEX_MIX) > 8 || !fits(file, now))
        return;
    mixes = desk_count(now, INDEX_MIX);
    show = check_set_show(check_set_all, desk_count(now, INDEX_INPUT), mixes);
    proof = proof_new(now, show, proofs);
    say_all(proof, mixes);
    for (int ring = 0; ring < proofs->ring_count; ring++)
        proof_below_ring_db(proof, ring);
    proof_free(proof);
    show_free(show);
}

int
LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    char *text = malloc(length + 1);
    struct proved_file *file;

    if (!text)
        abort();
    memcpy(text, bytes, length);
    text[length] = '\0';
    mend_digest(text);
    file = parse(text);
    if (file) {
        check_again(file);
        work_out(file);
    }
    proved_file_free(file);
    free(text);
    return 0;
}
