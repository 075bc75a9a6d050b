/* SPDX-License-Identifier: MIT */
#include "along/tell.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/clock.h"
#include "base/escape.h"
#include "base/output.h"
#include "core/need.h"
#include "screen/ring_view.h"
#include "screen/screen.h"

enum { SEEN_MOST = 100, CARE_MOST = 16, RINGS_SHOWN = 16, TIME_WIDTH = 9, CUT_RESTS_MS = 300 };

struct tell {
    const struct options *options;
    struct tell_owner owner;
    char name[VIEW_TEXT_SIZE];
    struct screen *screen; /* NULL: lines, or JSON */
    struct ring_view view;
    bool begun; /* something was raised: the cautions were read */
    char seen[SEEN_MOST][VIEW_TEXT_SIZE];
    size_t seen_count;
    char care[CARE_MOST][VIEW_TEXT_SIZE], rings[RINGS_SHOWN][VIEW_TEXT_SIZE];
    char figures[1][VIEW_TEXT_SIZE];
    struct ring_event last;   /* that was told */
    struct ring_event cut;    /* that a hand still makes, */
    int64_t cut_ms;           /* with its last step then; INT64_MAX: there is none */
    enum ring_next next;      /* that was told as a line, RING_NEXTS: none was, */
    int next_mix;             /* with this mix */
    bool due;                 /* the figures are to be told as a line, */
    char last_mix[SAYS_SIZE]; /* where they are not these */
    int ready_mix;            /* whose readiness was told; -1: none */
};

static bool
is_json(const struct tell *tell)
{
    return tell->options->format == FORMAT_JSON;
}

/* ---- lines ---- */

static void
sent(struct tell *tell)
{
    if (!output_finish())
        tell->owner.ended(tell->owner.context);
}

static void
put_line(struct tell *tell, const char *says)
{
    char clock[CLOCK_SIZE];

    output_line_format(stdout, TIME_WIDTH, "%s %s", clock_time(clock), says);
    sent(tell);
}

static void
put_json(struct tell *tell, struct json *json)
{
    char at[CLOCK_SIZE], *text;

    json_add_string(json, "at", clock_rfc3339(at));
    text = json_print(json, false);
    puts(text);
    free(text);
    json_free(json);
    sent(tell);
}

/* ---- the screen ---- */

static void
draw_rows(void *context, int width, int height, view_row_fn *each, void *to)
{
    struct tell *tell = context;

    clock_time(tell->view.clock);
    ring_view_rows(&tell->view, width, height, each, to);
}

static void
draw(void *context)
{
    struct tell *tell = context;

    if (tell->screen)
        screen_draw_rows(tell->screen, draw_rows, tell);
}

static void
on_end(void *context)
{
    struct tell *tell = context;

    tell->owner.ended(tell->owner.context);
}

static void
on_key(void *context, int key)
{
    struct tell *tell = context;

    if (key == 'l' || key == 'L')
        tell->view.is_large = !tell->view.is_large;
}

static void
note_seen(struct tell *tell, const char *says)
{
    char clock[CLOCK_SIZE], line[VIEW_TEXT_SIZE + CLOCK_SIZE];

    if (tell->seen_count == SEEN_MOST)
        memmove(tell->seen[0], tell->seen[1], sizeof tell->seen - sizeof tell->seen[0]);
    else
        tell->seen_count++;
    snprintf(line, sizeof line, "%s %s", clock_time(clock), says);
    escape_clean(tell->seen[tell->seen_count - 1], VIEW_TEXT_SIZE, line);
    tell->view.seen =
        (struct ring_view_list){(const char(*)[VIEW_TEXT_SIZE])tell->seen, tell->seen_count};
}

/* ---- what is told ---- */

void
tell_word(struct tell *tell, const char *event, const char *weight, const char *says)
{
    note_seen(tell, says);
    if (tell->screen) {
        draw(tell);
    } else if (is_json(tell)) {
        struct json *json = json_new_object();

        json_add_string(json, "event", event);
        json_add_string(json, "weight", weight);
        json_add_string(json, "says", says);
        put_json(tell, json);
    } else {
        put_line(tell, says);
    }
}

/* One ceiling after another while it rises is one piece of news: the figures say how it goes on. */
static bool
goes_on(const struct tell *tell, const struct ring_event *event)
{
    return event->kind == RING_PROVED && tell->last.kind == RING_PROVED &&
           tell->last.mix == event->mix;
}

static void
tell_one(struct tell *tell, const struct desk *desk, const struct ring_event *event)
{
    bool again = goes_on(tell, event) && !is_json(tell);
    char says[SAYS_SIZE];
    struct text text;

    tell->last = *event;
    if (again)
        return;
    tell->due = true;
    text_init(&text, says, sizeof says);
    ring_event_says(&text, desk, event);
    note_seen(tell, says);
    tell->begun |= event->kind == RING_RISE;
    says_event_large(says, event);
    snprintf(tell->view.large[1], RING_VIEW_LARGE_SIZE, "%.79s", says);
    if (tell->screen)
        return; /* with the state, which follows */
    if (is_json(tell))
        put_json(tell, says_event_json(desk, event));
    else
        put_line(tell, tell->seen[tell->seen_count - 1] + TIME_WIDTH);
}

static void
end_cut(struct tell *tell, const struct desk *desk)
{
    if (tell->cut_ms == INT64_MAX)
        return;
    tell->cut_ms = INT64_MAX;
    tell_one(tell, desk, &tell->cut);
}

/* A fader comes down in steps, each of which cuts by so much more: that is one piece of news. */
static void
take_cut(struct tell *tell, const struct desk *desk, const struct ring_event *event)
{
    struct ring_event *cut = &tell->cut;

    if (tell->cut_ms != INT64_MAX && cut->mix == event->mix && cut->hz == event->hz) {
        cut->db += event->db;
    } else {
        end_cut(tell, desk);
        *cut = *event;
    }
    tell->cut_ms = event->at_ms;
}

void
tell_event(struct tell *tell, const struct desk *desk, const struct ring_event *event)
{
    if (event->kind == RING_CUT) {
        take_cut(tell, desk, event);
        return;
    }
    end_cut(tell, desk);
    tell_one(tell, desk, event);
}

void
tell_passed(struct tell *tell, const struct desk *desk, int64_t now_ms)
{
    if (tell->cut_ms != INT64_MAX && now_ms - tell->cut_ms >= CUT_RESTS_MS)
        end_cut(tell, desk);
}

/* ---- how it stands ---- */

static void
add_care(struct tell *tell, const char *says)
{
    if (tell->view.care.count < CARE_MOST)
        escape_clean(tell->care[tell->view.care.count++], VIEW_TEXT_SIZE, says);
}

/* "not ready: its master is at -8 dB, not at 0"; "" where it is. */
static void
say_item(char line[SAYS_SIZE], const struct desk *desk, const struct ring_ready *ready,
         enum ring_item item)
{
    struct text text;
    size_t begun;

    text_init(&text, line, SAYS_SIZE);
    text_add(&text, "not ready: ");
    begun = text.used;
    ring_ready_says(&text, desk, ready, item);
    if (text.used == begun)
        *line = '\0';
}

/* Why the mix is not ready, into `care`. */
static void
fill_ready(struct tell *tell, const struct desk *desk, const struct ring_state *state)
{
    for (int item = 0; item < RING_READY_ITEMS; item++) {
        char line[SAYS_SIZE];

        say_item(line, desk, &state->ready, (enum ring_item)item);
        if (*line)
            add_care(tell, line);
    }
}

static void
fill_care(struct tell *tell, const struct desk *desk, const struct ring_state *state)
{
    const struct ring_mix *mix = state ? says_shown(state) : NULL;

    tell->view.care = (struct ring_view_list){(const char(*)[VIEW_TEXT_SIZE])tell->care, 0};
    for (int i = 0; i < ring_caution_count && !tell->begun; i++)
        add_care(tell, ring_cautions[i]);
    if (mix && !mix->begun && !state->together)
        fill_ready(tell, desk, state);
    if (state && state->together && !state->ring_count)
        add_care(tell, ring_why_together);
}

static void
fill_rings(struct tell *tell, const struct desk *desk, const struct ring_state *state)
{
    int from = state->ring_count > RINGS_SHOWN ? state->ring_count - RINGS_SHOWN : 0;
    char says[SAYS_SIZE];

    for (int i = from; i < state->ring_count; i++) {
        says_ring(says, desk, &state->rings[i]);
        escape_clean(tell->rings[i - from], VIEW_TEXT_SIZE, says);
    }
    tell->view.rings = (struct ring_view_list){(const char(*)[VIEW_TEXT_SIZE])tell->rings,
                                               (size_t)(state->ring_count - from)};
}

static void
fill_figures(struct tell *tell, const struct desk *desk, const struct ring_state *state)
{
    const struct ring_mix *mix = says_shown(state);
    char says[SAYS_SIZE] = "";

    if (mix)
        says_mix(says, desk, mix);
    escape_clean(tell->figures[0], VIEW_TEXT_SIZE, says);
    tell->view.figures =
        (struct ring_view_list){(const char(*)[VIEW_TEXT_SIZE])tell->figures, mix != NULL};
    *says = '\0';
    if (mix)
        says_mix_large(says, mix);
    snprintf(tell->view.large[2], RING_VIEW_LARGE_SIZE, "%.79s", says);
}

static void
fill_next(struct tell *tell, const struct desk *desk, const struct ring_state *state)
{
    char says[SAYS_SIZE];
    struct text text;

    text_init(&text, says, sizeof says);
    ring_next_says(&text, desk, state);
    escape_clean(tell->view.next, sizeof tell->view.next, says);
    tell->view.urgent = says_is_urgent(state);
    says_next_large(says, state);
    snprintf(tell->view.large[0], RING_VIEW_LARGE_SIZE, "%.79s", says);
}

static void
fill_view(struct tell *tell, const struct desk *desk, const struct ring_state *state,
          const char *link, bool lost)
{
    snprintf(tell->view.link, sizeof tell->view.link, "%s", link);
    tell->view.lost = lost;
    fill_care(tell, desk, state);
    if (!state) {
        snprintf(tell->view.next, sizeof tell->view.next, "wait: the desk is being read");
        snprintf(tell->view.large[0], sizeof tell->view.large[0], "wait");
        return;
    }
    fill_next(tell, desk, state);
    fill_figures(tell, desk, state);
    fill_rings(tell, desk, state);
}

/* ---- the same as lines ---- */

static void
put_item(struct tell *tell, enum ring_item item, const char *line)
{
    struct json *json;

    if (!is_json(tell)) {
        put_line(tell, line);
        return;
    }
    json = json_new_object();
    json_add_string(json, "event", "not-ready");
    json_add_string(json, "weight", "advice");
    json_add_string(json, "item", ring_item_name(item));
    json_add_string(json, "says", line);
    put_json(tell, json);
}

/* Once for each mix, before it is raised. */
static void
put_ready(struct tell *tell, const struct desk *desk, const struct ring_state *state)
{
    const struct ring_mix *mix = says_shown(state);

    if (!mix || mix->begun || state->together || mix->mix == tell->ready_mix)
        return;
    tell->ready_mix = mix->mix;
    for (int item = 0; item < RING_READY_ITEMS; item++) {
        char line[SAYS_SIZE];

        say_item(line, desk, &state->ready, (enum ring_item)item);
        if (*line)
            put_item(tell, (enum ring_item)item, line);
    }
}

static void
put_next(struct tell *tell, const struct ring_state *state)
{
    char line[VIEW_TEXT_SIZE + 10];

    if (tell->next == state->next && tell->next_mix == state->next_mix)
        return;
    tell->next = state->next;
    tell->next_mix = state->next_mix;
    snprintf(line, sizeof line, "%s %s", tell->view.urgent ? "NOW:" : "next:", tell->view.next);
    if (is_json(tell))
        put_json(tell, says_next_json(state, line));
    else
        put_line(tell, line);
}

static void
put_figures(struct tell *tell, const struct ring_state *state)
{
    const struct ring_mix *mix = says_shown(state);

    if (!mix || !tell->due || strcmp(tell->last_mix, tell->figures[0]) == 0)
        return;
    tell->due = false;
    snprintf(tell->last_mix, sizeof tell->last_mix, "%s", tell->figures[0]);
    if (is_json(tell)) {
        struct json *json = says_mix_json(mix);

        json_add_string(json, "event", "figures");
        json_add_string(json, "weight", "seen");
        json_add_string(json, "says", tell->figures[0]);
        put_json(tell, json);
    } else {
        put_line(tell, tell->figures[0]);
    }
}

void
tell_state(struct tell *tell, const struct desk *desk, const struct ring_state *state,
           const char *link, bool lost)
{
    fill_view(tell, desk, state, link, lost);
    if (tell->screen) {
        draw(tell);
    } else if (state) {
        put_ready(tell, desk, state);
        put_figures(tell, state);
        put_next(tell, state);
    }
}

/* ---- opening and closing ---- */

struct tell *
tell_open(struct loop *loop, const struct options *options, const char *name,
          struct tell_owner owner)
{
    struct tell *tell = need_memory(1, sizeof *tell);
    struct screen_owner screen = {draw, on_end, tell, .leaves = true, .key = on_key};

    tell->options = options;
    tell->owner = owner;
    tell->ready_mix = -1;
    tell->cut_ms = INT64_MAX;
    tell->next = RING_NEXTS;
    tell->last.kind = RING_KINDS;
    escape_clean(tell->name, sizeof tell->name, name);
    snprintf(tell->view.title, sizeof tell->view.title, "%.*s: ring-out", 180, tell->name);
    tell->view.prompt = "l: large letters; q: end, and keep what was proved";
    fill_view(tell, NULL, NULL, "", false);
    if (!options->plain && !is_json(tell) && isatty(STDIN_FILENO) && isatty(STDOUT_FILENO))
        tell->screen = screen_open(loop, screen);
    for (int i = 0; i < ring_caution_count && !tell->screen; i++)
        tell_word(tell, "caution", "warning", ring_cautions[i]);
    return tell;
}

void
tell_leave_screen(struct tell *tell)
{
    screen_close(tell->screen);
    tell->screen = NULL;
}

void
tell_close(struct tell *tell)
{
    if (!tell)
        return;
    tell_leave_screen(tell);
    free(tell);
}

const struct ring_view *
tell_view(const struct tell *tell)
{
    return &tell->view;
}

bool
tell_is_gone(const struct tell *tell)
{
    return tell->screen && screen_is_gone(tell->screen);
}
