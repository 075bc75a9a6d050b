/* SPDX-License-Identifier: MIT */
#include "report/proved.h"

#include <stdio.h>
#include <stdlib.h>

#include "base/output.h"
#include "base/text_format.h"
#include "core/need.h"
#include "proof/say.h"

enum { MIX_SIZE = 300 };

static bool
is_listed(struct proof *proof, int mix)
{
    enum proof_state state = proof_of_mix(proof, mix)->state;

    return state != PROOF_NO_LOOP && state != PROOF_CLOSED;
}

/* "mix 1 Ld Vox wedge 6 dB, mix 2 Gtr wedge no proof", to free(); "" where no mix is open. */
static char *
list(struct proof *proof)
{
    char *line = need_text("");

    for (int mix = 0; mix < desk_count(proof_desk(proof), INDEX_MIX); mix++) {
        char says[MIX_SIZE], *longer;
        struct text text;

        if (!is_listed(proof, mix))
            continue;
        text_init(&text, says, sizeof says);
        proof_says_mix(&text, proof_desk(proof), mix);
        text_add(&text, " ");
        proof_says_in_short(&text, proof, mix);
        longer = text_printed("%s%s%s", line, *line ? ", " : "", says);
        free(line);
        line = longer;
    }
    return line;
}

void
proved_text(struct engine *engine)
{
    struct proof *proof = engine_proof(engine);
    char *line;

    if (!proof)
        return;
    line = list(proof);
    printf("\nLeft of what ring-outs proved\n");
    output_wrapped(2, 4, *line ? line : "no microphone is open into a loudspeaker mix");
    output_format(2, 2, "`gainwarden proved SHOW` says through what. %s", PROOF_CARE);
    free(line);
}
