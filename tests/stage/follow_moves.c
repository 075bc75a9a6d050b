/* SPDX-License-Identifier: MIT */
/* A ring-out that is over, move by move, through rules/ring. Reads lines, writes one JSON object a
 * line: what was seen, and at the end the state, and each ceiling with the values asked for.
 *
 *     desk INPUTS MIXES BANDS GROUPS  every value known, nothing passes; before all others
 *     is PARAM ROW COLUMN VALUE       before it begins
 *     plays input|mix ROW NAME        likewise
 *     begin MS TOGETHER MIX...        MIX from 0
 *     move MS PARAM ROW COLUMN VALUE  VALUE "stale": it is not heard any more
 *     label MS input|mix ROW NAME     somebody writes on the strip
 *     lost|back|recalled|reread MS    values that moved since stand in `unseen` lines
 *     unseen PARAM ROW COLUMN VALUE
 *     end MS
 */
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "desk/source.h"
#include "ring/ringing.h"
#include "ring/say.h"

enum { PASS_MS = 100, MIXES_MOST = 31 };

static struct desk *desk;
static struct show *show;
static struct ringing *ringing;
static int64_t now_ms;

static const struct {
    enum param_id id;
    double number;
} plain[] = {
    {PARAM_INPUT_PREAMP_GAIN, 0},
    {PARAM_INPUT_MUTE, 0},
    {PARAM_INPUT_FADER, 0},
    {PARAM_INPUT_HIGH_PASS_ON, 0},
    {PARAM_INPUT_HIGH_PASS_FREQ, 100},
    {PARAM_INPUT_HIGH_PASS_SLOPE, 18},
    {PARAM_INPUT_GATE_ON, 0},
    {PARAM_SEND_LEVEL, -HUGE_VAL},
    {PARAM_SEND_TAP, TAP_PRE_FADER},
    {PARAM_MIX_FADER, -HUGE_VAL},
    {PARAM_MIX_GRAPHIC_BAND_GAIN, 0},
    {PARAM_INPUT_LEVEL, -90},
    {PARAM_INPUT_TRIM, 0},
    {PARAM_INPUT_GROUP, 0},
    {PARAM_SEND_ON, 1},
    {PARAM_MIX_MUTE, 0},
    {PARAM_GROUP_FADER, 0},
    {PARAM_GROUP_MUTE, 0},
};

_Noreturn static void
fail(const char *line)
{
    fprintf(stderr, "follow_moves: cannot be: %s\n", line);
    exit(2);
}

static void
make_desk(int inputs, int mixes, int bands, int groups)
{
    static const struct show_check no_check;
    struct desk_counts counts = {.of = {[INDEX_INPUT] = inputs,
                                        [INDEX_MIX] = mixes,
                                        [INDEX_MIX_GRAPHIC_BAND] = bands,
                                        [INDEX_GROUP] = groups}};

    desk = desk_new(&counts);
    show = show_new(inputs, mixes, &no_check, 1);
    for (int mix = 0; mix < mixes; mix++)
        show->mixes[mix].feeds = FEEDS_WEDGE;
    for (int input = 0; input < inputs; input++)
        show->inputs[input].source = source_from_label("Ld Vox");
    desk_set_travel(desk, PARAM_INPUT_PREAMP_GAIN, (struct travel){-4, 56});
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++) {
        desk_supply(desk, plain[i].id, SUPPLY_HEARD);
        for (int row = 0; row < desk_rows(desk, plain[i].id); row++)
            for (int column = 0; column < desk_columns(desk, plain[i].id); column++)
                desk_set(desk, plain[i].id, row, column, plain[i].number, 0);
    }
}

static enum param_id
set(const char *line, const char *name, int row, int column, const char *value)
{
    enum param_id id = param_find(name);

    if (id == PARAMS)
        fail(line);
    if (strcmp(value, "stale") == 0)
        desk_set_stale(desk, id, row, column);
    else if (desk_set(desk, id, row, column, strtod(value, NULL), now_ms) == CHANGE_REFUSED)
        fail(line);
    return id;
}

/* ---- what comes out ---- */

static void
put_number(const char *name, double number)
{
    if (isfinite(number))
        printf(", \"%s\": %.4f", name, number);
    else
        printf(", \"%s\": null", name);
}

static void
put_events(void)
{
    struct ring_event event;

    while (ringing_event(ringing, &event)) {
        char says[400];
        struct text text;

        text_init(&text, says, sizeof says);
        ring_event_says(&text, desk, &event);
        printf("{\"event\": \"%s\", \"weight\": \"%s\", \"at\": %.3f, \"mix\": %d, \"input\": %d",
               ring_kind_name(event.kind), ring_weight_name(ring_kind_weight(event.kind)),
               (double)event.at_ms / 1000, event.mix, event.input);
        put_number("hz", event.hz);
        put_number("other_hz", event.other_hz);
        put_number("db", event.db);
        put_number("won_db", event.won_db);
        printf(", \"says\": \"%s\"}\n", says);
    }
}

static void
put_values(const struct desk *of)
{
    const char *between = "";

    printf(", \"values\": [");
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++)
        for (int row = 0; row < desk_rows(of, plain[i].id); row++)
            for (int column = 0; column < desk_columns(of, plain[i].id); column++) {
                double number = value_number(desk_value(of, plain[i].id, row, column));

                printf("%s[\"%s\", %d, %d, ", between, params[plain[i].id].name, row, column);
                printf(isfinite(number) ? "%.4f]" : "null]", number);
                between = ", ";
            }
    printf("]}\n");
}

static void
put_next(void)
{
    const struct ring_state *state = ringing_state(ringing);
    static struct ring_state said = {.mix = -2};
    char says[400];
    struct text text;

    if (state->next == said.next && state->next_mix == said.next_mix && state->mix == said.mix)
        return;
    said = *state;
    text_init(&text, says, sizeof says);
    ring_next_says(&text, desk, state);
    printf("{\"next\": \"%s\", \"at\": %.3f, \"of\": %d, \"mix\": %d, \"together\": %s", says,
           (double)now_ms / 1000, state->next_mix, state->mix, state->together ? "true" : "false");
    put_number("db", state->next_db);
    printf(", \"unready\": [");
    for (int item = 0, count = 0; item < RING_READY_ITEMS; item++)
        if (state->ready.of[item].ready == SURE_NO)
            printf("%s\"%s\"", count++ ? ", " : "", ring_item_name((enum ring_item)item));
    printf("]}\n");
}

static void
put_end(void)
{
    const struct ring_state *state = ringing_state(ringing);
    const struct proofs *proofs = ringing_proofs(ringing);

    for (int i = 0; i < state->mix_count; i++) {
        const struct ring_mix *of = &state->mixes[i];

        printf("{\"mix\": %d, \"rings\": %d, \"cuts\": %d, \"back\": %s", of->mix, of->rings,
               of->cuts, of->back ? "true" : "false");
        put_number("speech_db", of->speech_db);
        put_number("won_db", of->won_db);
        put_number("proved_db", of->proved_db);
        put_number("alone_db", of->alone_db);
        printf("}\n");
    }
    for (int i = 0; i < proofs->ceiling_count; i++) {
        printf("{\"ceiling\": %d, \"at\": %.3f", proofs->ceilings[i].mix,
               (double)proofs->ceilings[i].made.now_ms / 1000);
        put_number("step_db", proofs->ceilings[i].step_db);
        put_values(proofs->ceilings[i].desk);
    }
    printf("{\"left\": %s}\n", proofs->left ? "true" : "false");
}

/* ---- what goes in ---- */

static void
pass_until(int64_t until_ms)
{
    while (ringing && now_ms + PASS_MS < until_ms) {
        now_ms += PASS_MS;
        ringing_passed(ringing, now_ms);
        put_events();
        put_next();
    }
    now_ms = until_ms;
}

static void
begin(const char *line)
{
    int mixes[MIXES_MOST], count = 0, together, used;
    int64_t at_ms;

    if (sscanf(line, "begin %" SCNd64 " %d%n", &at_ms, &together, &used) != 2)
        fail(line);
    now_ms = at_ms;
    for (const char *at = line + used; count < MIXES_MOST; at += used)
        if (sscanf(at, "%d%n", &mixes[count], &used) == 1)
            count++;
        else
            break;
    ringing = ringing_new(desk, show, mixes, count, together != 0, now_ms);
}

static void
tell(const char *line, const char *word, int64_t at_ms)
{
    pass_until(at_ms);
    if (strcmp(word, "lost") == 0)
        ringing_lost(ringing, now_ms);
    else if (strcmp(word, "back") == 0)
        ringing_back(ringing, now_ms);
    else if (strcmp(word, "recalled") == 0)
        ringing_recalled(ringing, now_ms);
    else if (strcmp(word, "reread") == 0)
        ringing_reread(ringing, now_ms);
    else if (strcmp(word, "end") == 0)
        ringing_end(ringing, now_ms);
    else
        fail(line);
    put_events();
    put_next();
    if (strcmp(word, "end") == 0)
        put_end();
}

static void
plays(const char *what, int row, const char *name)
{
    char *player = *what == 'i' ? show->inputs[row].player : show->mixes[row].player;

    snprintf(player, SHOW_NAME_SIZE, "%s", name);
}

static void
label(const char *what, int row, const char *name)
{
    enum param_id id = *what == 'i' ? PARAM_INPUT_NAME : PARAM_MIX_NAME;

    desk_set_text(desk, id, row, 0, name, now_ms);
    ringing_moved(ringing, id, row, 0, now_ms);
}

static void
take(const char *line)
{
    char word[16], name[64], value[32];
    int row, column, bands, groups;
    int64_t at_ms;

    if (sscanf(line, "desk %d %d %d %d", &row, &column, &bands, &groups) == 4) {
        make_desk(row, column, bands, groups);
    } else if (sscanf(line, "plays %15s %d %31[^\n]", word, &row, value) == 3) {
        plays(word, row, value);
    } else if (sscanf(line, "label %" SCNd64 " %15s %d %31[^\n]", &at_ms, word, &row, value) == 4) {
        pass_until(at_ms);
        label(word, row, value);
        put_events();
        put_next();
    } else if (strncmp(line, "begin ", 6) == 0) {
        begin(line);
    } else if (sscanf(line, "move %" SCNd64 " %63s %d %d %31s", &at_ms, name, &row, &column,
                      value) == 5) {
        pass_until(at_ms);
        ringing_moved(ringing, set(line, name, row, column, value), row, column, now_ms);
        put_events();
        put_next();
    } else if (sscanf(line, "is %63s %d %d %31s", name, &row, &column, value) == 4 ||
               sscanf(line, "unseen %63s %d %d %31s", name, &row, &column, value) == 4) {
        set(line, name, row, column, value);
    } else if (sscanf(line, "%15s %" SCNd64, word, &at_ms) == 2) {
        tell(line, word, at_ms);
    } else {
        fail(line);
    }
}

int
main(void)
{
    char line[256];

    while (fgets(line, sizeof line, stdin))
        take(line);
    ringing_free(ringing);
    show_free(show);
    desk_free(desk);
    return 0;
}
