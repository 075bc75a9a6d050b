/* SPDX-License-Identifier: MIT */
#include "look/miss.h"

#include "desk/words.h"

/* "send.level of input 3, mix 1" */
static void
add_place(struct text *text, const struct miss *miss)
{
    const struct param *param = &params[miss->param];

    text_add(text, "%s", param->name);
    if (param->row == INDEX_NONE)
        return;
    text_add(text, " of %s %d", index_placeholder(param->row), miss->row + 1);
    if (param->column != INDEX_NONE)
        text_add(text, ", %s %d", index_placeholder(param->column), miss->column + 1);
}

static void
add_reason(struct text *text, const char *object, const struct miss *miss)
{
    text_add(text, "%s %d: ", object, miss->row + 1);
    if (miss->param != PARAMS)
        words_name(text, (enum param_id)miss->param);
    text_add(text, "%s", miss->reason);
}

static void
add_miss(struct text *text, const struct miss *miss)
{
    switch ((enum miss_how)miss->how) {
    case MISS_UNNAMED:
        text_add(text, "the profile does not name %s (add it, or a constant under \"fixed\")",
                 params[miss->param].name);
        break;
    case MISS_UNHEARD:
        add_place(text, miss);
        text_add(text, " was never heard");
        break;
    case MISS_STALE:
        add_place(text, miss);
        text_add(text, " is stale");
        break;
    case MISS_INPUT:
        add_reason(text, "input", miss);
        break;
    case MISS_MIX:
        add_reason(text, "mix", miss);
        break;
    }
}

void
misses_add(struct text *text, const struct misses *misses)
{
    for (int i = 0; i < misses->named; i++) {
        text_add(text, i > 0 ? "; " : "");
        add_miss(text, &misses->list[i]);
    }
    if (misses->more > 0)
        text_add(text, ", and %d more", misses->more);
}
