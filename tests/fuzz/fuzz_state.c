/* Bytes as a state of a desk, with the digest put right where they have one, so that the reader
 * meets them. A state is read or its problems are told, never both; one that is read holds only
 * what its parameters allow, comes out as a text that gives the same state again, and can be
 * judged.
 */
#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "fuzz.h"
#include "rig.h"
#include "state_parts.h"

static struct state *
parse(const char *text)
{
    struct problems problems;
    struct state *state;

    problems_init(&problems);
    state = state_file_parse(text, strlen(text), "state", &problems);
    assert((state != NULL) == (problems.count == 0));
    problems_print(&problems, rig_nowhere());
    problems_release(&problems);
    return state;
}

static void
mend_digest(char *text)
{
    char *at = strstr(text, STATE_DIGEST_KEY), digest[STATE_DIGEST_SIZE];

    if (!at || strlen(at) < strlen(STATE_DIGEST_KEY) + STATE_DIGEST_SIZE - 1)
        return;
    at += strlen(STATE_DIGEST_KEY);
    state_digest(text, at, digest);
    memcpy(at, digest, STATE_DIGEST_SIZE - 1);
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
                    assert(param_accepts(id, value->number));
                assert(value->state != VALUE_STALE || desk_supplied(desk, id) == SUPPLY_HEARD);
            }
    }
}

/* The text of what was read gives the same text again. */
static void
check_again(const struct state *state)
{
    char *text = state_file_text(state), *once_more;
    struct state *again = parse(text);

    assert(again);
    once_more = state_file_text(again);
    assert(strcmp(once_more, text) == 0);
    free(once_more);
    free(text);
    state_free(again);
}

static void
judge(struct desk *desk)
{
    struct engine *engine =
        engine_new(desk, show_new(desk_count(desk, INDEX_INPUT), desk_count(desk, INDEX_MIX)));

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
    struct state *state;

    if (!text)
        abort();
    memcpy(text, bytes, length);
    text[length] = '\0';
    mend_digest(text);
    state = parse(text);
    if (state) {
        check_values(state->desk);
        check_again(state);
        if (is_small(state->desk)) {
            judge(state->desk);
            state->desk = NULL; /* the engine's */
        }
    }
    state_free(state);
    free(text);
    return 0;
}
