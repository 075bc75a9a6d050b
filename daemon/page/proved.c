/* SPDX-License-Identifier: MIT */
/* What is left of the margin that ring-outs proved, a line a mix; nothing where none is kept. */
#include "page/html.h"
#include "page/page.h"
#include "proof/say.h"

enum { SAYS_SIZE = 1000 };

static void
add_mix(FILE *page, struct proof *proof, int mix)
{
    enum proof_state state = proof_of_mix(proof, mix)->state;
    char name[200], says[SAYS_SIZE];
    struct text text;

    if (state == PROOF_NO_LOOP || state == PROOF_CLOSED)
        return;
    text_init(&text, name, sizeof name);
    proof_says_mix(&text, proof_desk(proof), mix);
    text_init(&text, says, sizeof says);
    proof_says(&text, proof, mix);
    html_add(page, "<li><bdi>%s: %s</bdi></li>\n", name, says);
}

void
page_add_proved(FILE *page, struct engine *engine)
{
    struct proof *proof = engine_proof(engine);

    if (!proof)
        return;
    html_add(page, "<section id=\"proved\">\n<h2>What ring-outs proved</h2>\n<ul>\n");
    for (int mix = 0; mix < desk_count(proof_desk(proof), INDEX_MIX); mix++)
        add_mix(page, proof, mix);
    html_add(page, "</ul>\n<p class=\"soft\">%s</p>\n</section>\n", PROOF_CARE);
}
