/* SPDX-License-Identifier: MIT */
/* Bytes as a saved desk, with the digest put right where they have one, so that the reader
 * meets them. One is read or its problems are told, never both; one that is read holds only
 * what its parameters allow, comes out as a text that gives the same desk again, and can be
 * judged.
 */
#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "rig.h"
#include "saved/parts.h"

static struct saved *
parse(const char *text)
{
    struct problems problems = {0};
    struct saved *saved;

    saved = saved_file_parse(text, strlen(text), "saved", &problems);
    assert((saved != NULL) == (problems.count == 0));
    problems_print(&problems, rig_nowhere());
    problems_release(&problems);
    return saved;
}

static void
mend_digest(char *text)
{
    char *at = strstr(text, SAVED_DIGEST_KEY), digest[SAVED_DIGEST_SIZE];

    if (!at || strlen(at) < strlen(SAVED_DIGEST_KEY) + SAVED_DIGEST_SIZE - 1)
        return;
    at += strlen(SAVED_DIGEST_KEY);
    saved_digest(text, at, digest);
    memcpy(at, digest, SAVED_DIGEST_SIZE - 1);
}

static void
check_values(const struct desk *desk)
{
    for (int i = 0; i < PARAMS; i++) {
        enum param_id id = (enum param_id)i;

        for (int row = 0; row < desk_rows(desk, id); row++)
            for (int column = 0; column < desk_columns(desk, id); column++) {
                const struct value *value = desk_value(desk, id, row, column);

                if (value->state != VALUE_UNKNOWN && params[id].unit != UNIT_TEXT)
                    assert(param_accepts(id, value_last_heard(value)));
                assert(value->state != VALUE_STALE || desk_supplied(desk, id) == SUPPLY_HEARD);
            }
    }
}

/* The text of what was read gives the same text again. */
static void
check_again(const struct saved *saved)
{
    char *text = saved_file_text(saved), *once_more;
    struct saved *again = parse(text);

    assert(again);
    once_more = saved_file_text(again);
    assert(strcmp(once_more, text) == 0);
    free(once_more);
    free(text);
    saved_free(again);
}

static void
judge(struct desk *desk)
{
    struct engine *engine = engine_new(
        desk,
        check_set_show(check_set_all, desk_count(desk, INDEX_INPUT), desk_count(desk, INDEX_MIX)),
        check_set_all);

    assert(engine);
    rig_run(engine, 1);
    rig_check_marks(engine);
    engine_free(engine);
}

/* Counts come from the file; large desks are slow, and no different. */
static bool
is_small(const struct desk *desk)
{
    return desk_count(desk, INDEX_INPUT) <= 8 && desk_count(desk, INDEX_MIX) <= 8;
}

int
LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    char *text = malloc(length + 1);
    struct saved *saved;

    if (!text)
        abort();
    memcpy(text, bytes, length);
    text[length] = '\0';
    mend_digest(text);
    saved = parse(text);
    if (saved) {
        check_values(saved->desk);
        check_again(saved);
        if (is_small(saved->desk)) {
            judge(saved->desk);
            saved->desk = NULL; /* the engine's */
        }
    }
    saved_free(saved);
    free(text);
    return 0;
}
