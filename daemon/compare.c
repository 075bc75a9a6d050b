/* `gainwarden compare`: what differs from the approved state, in plain words. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "approved.h"
#include "check.h"
#include "clock.h"
#include "commands.h"
#include "difference.h"
#include "escape.h"
#include "json.h"
#include "output.h"
#include "player.h"
#include "read_once.h"
#include "report.h"
#include "words.h"

enum { COMPARE_FORMAT = 1, LISTED = 24 };

/* How a finding stands beside the approved state. */
enum turn { TURN_NEW, TURN_WORSE, TURN_FIXED, TURN_UNCHANGED, TURNS };

static const char *const turn_names[TURNS] = {"new", "worse", "fixed", "unchanged"};

struct comparison {
    const struct options *options;
    struct session *session;
    struct engine *approved; /* the checks over the approved desk */
    struct state_note note;
    size_t turns[TURNS];
    struct difference_counts moved;
    struct json *root, *findings, *moves; /* of the JSON form; NULL: text */
    size_t listed, held_back;
};

/* ---- findings ---- */

static void
ignore(void *context, const struct event *event)
{
    (void)context;
    (void)event;
}

static bool
is_open(const struct finding *finding)
{
    return life_is_open(&finding->life) && finding->accept < 0;
}

/* TURNS when the finding stands on neither side. */
static enum turn
turn_of(const struct finding *before, const struct finding *now)
{
    if (!is_open(before))
        return is_open(now) ? TURN_NEW : TURNS;
    if (!is_open(now))
        return now->life.frozen ? TURN_UNCHANGED : TURN_FIXED;
    return now->verdict.weight > before->verdict.weight ||
                   now->verdict.severity >=
                       before->verdict.severity + checks[now->check]->worse_step
               ? TURN_WORSE
               : TURN_UNCHANGED;
}

static void
add_finding_json(struct comparison *comparison, enum turn turn, const struct engine *engine,
                 const struct finding *finding)
{
    struct json *json = report_finding_json(engine, finding);

    json_add_string(json, "turn", turn_names[turn]);
    json_add(comparison->findings, NULL, json);
}

static void
print_finding(enum turn turn, const struct engine *engine, const struct finding *finding,
              char last_player[SHOW_NAME_SIZE])
{
    char line[1400], object[REPORT_OBJECT_SIZE], player[SHOW_NAME_SIZE];

    player_of(engine_desk(engine), engine_show(engine), finding, player);
    if (strcmp(player, last_player) != 0) {
        memcpy(last_player, player, SHOW_NAME_SIZE);
        fputs("  ", stdout);
        escape_print(stdout, *player ? player : "for nobody in particular");
        putchar('\n');
    }
    report_object(engine, finding->object, object);
    if (turn == TURN_FIXED)
        snprintf(line, sizeof line, "fixed: %s [%s]", object, checks[finding->check]->id);
    else
        snprintf(line, sizeof line, "%s, %s: %s: %s [%s]; do: %s", turn_names[turn],
                 weight_name(finding->verdict.weight), object, finding->verdict.says,
                 checks[finding->check]->id, finding->verdict.cure);
    output_wrapped(4, 6, line);
}

/* One finding that differs, for sorting: what matters first, then by player. */
struct turned {
    enum turn turn;
    const struct engine *engine;
    const struct finding *finding;
    char player[SHOW_NAME_SIZE];
};

static int
by_weight(const void *one, const void *other)
{
    const struct turned *a = one, *b = other;
    bool a_fixed = a->turn == TURN_FIXED, b_fixed = b->turn == TURN_FIXED;
    bool a_stop = !a_fixed && a->finding->verdict.weight == WEIGHT_STOP;
    bool b_stop = !b_fixed && b->finding->verdict.weight == WEIGHT_STOP;

    if (a_stop != b_stop)
        return a_stop ? -1 : 1;
    if (strcmp(a->player, b->player) != 0)
        return strcmp(a->player, b->player);
    if (a_fixed != b_fixed)
        return a_fixed ? 1 : -1;
    if (a->finding->verdict.weight != b->finding->verdict.weight)
        return (int)b->finding->verdict.weight - (int)a->finding->verdict.weight;
    return a->finding->slot < b->finding->slot ? -1 : 1;
}

static void
show_findings(struct comparison *comparison, struct turned *list, size_t count)
{
    char player[SHOW_NAME_SIZE] = "?";

    if (count > 0)
        qsort(list, count, sizeof *list, by_weight);
    if (!comparison->findings && count > 0)
        puts("\nFindings");
    for (size_t i = 0; i < count; i++) {
        if (comparison->findings)
            add_finding_json(comparison, list[i].turn, list[i].engine, list[i].finding);
        else
            print_finding(list[i].turn, list[i].engine, list[i].finding, player);
    }
}

static void
compare_findings(struct comparison *comparison)
{
    const struct engine *now = comparison->session->engine, *before = comparison->approved;
    struct turned *list = calloc(engine_slots(now) + 1, sizeof *list);
    size_t count = 0;

    if (!list)
        abort();
    for (size_t slot = 0; slot < engine_slots(now); slot++) {
        enum turn turn = turn_of(engine_slot(before, slot), engine_slot(now, slot));
        const struct engine *engine = turn == TURN_FIXED ? before : now;

        if (turn == TURNS)
            continue;
        comparison->turns[turn]++;
        if (turn == TURN_UNCHANGED)
            continue;
        list[count] = (struct turned){turn, engine, engine_slot(engine, slot), ""};
        player_of(engine_desk(engine), engine_show(engine), list[count].finding,
                  list[count].player);
        count++;
    }
    show_findings(comparison, list, count);
    free(list);
}

/* ---- values ---- */

static void
show_move(void *context, enum difference_class kind, enum param_id id, int row, int column)
{
    struct comparison *comparison = context;
    const struct desk *before = engine_desk(comparison->approved);
    const struct desk *now = engine_desk(comparison->session->engine);
    bool drift = difference_is_drift(kind);
    char place[200], was[80], is[80], line[400];
    struct text text;

    text_init(&text, place, sizeof place);
    words_place(&text, now, id, row, column);
    text_init(&text, was, sizeof was);
    words_value(&text, before, id, row, column);
    text_init(&text, is, sizeof is);
    words_value(&text, now, id, row, column);
    if (comparison->moves) {
        struct json *json = json_new_object();

        json_add_string(json, "class", difference_class_name(kind));
        json_add_string(json, "parameter", params[id].name);
        json_add_number(json, "row", row + 1);
        json_add_number(json, "column", column + 1);
        json_add_string(json, "place", place);
        json_add_string(json, "was", was);
        json_add_string(json, "is", is);
        json_add(comparison->moves, NULL, json);
        return;
    }
    if ((!drift || comparison->listed >= LISTED) && !comparison->options->all) {
        comparison->held_back++;
        return;
    }
    if (comparison->listed++ == 0)
        puts("\nMoved");
    snprintf(line, sizeof line, "%s was %s, is %s", place, was, is);
    output_wrapped(2, 4, line);
}

static void
compare_values(struct comparison *comparison)
{
    comparison->moved =
        difference_all(engine_desk(comparison->approved), engine_desk(comparison->session->engine),
                       show_move, comparison);
    if (!comparison->moves && comparison->held_back > 0)
        printf("%s  %s%zu more value%s differ%s: --all lists them\n",
               comparison->listed == 0 ? "\nMoved\n" : "", comparison->listed > 0 ? "and " : "",
               comparison->held_back, comparison->held_back == 1 ? "" : "s",
               comparison->held_back == 1 ? "s" : "");
}

/* ---- the whole ---- */

static size_t
drift_count(const struct difference_counts *moved)
{
    size_t count = 0;

    for (int kind = 0; kind < DIFFERENCE_CLASSES; kind++)
        if (difference_is_drift((enum difference_class)kind))
            count += moved->of[kind];
    return count;
}

static int
status_of(const struct comparison *comparison)
{
    if (comparison->turns[TURN_NEW] + comparison->turns[TURN_WORSE] +
            drift_count(&comparison->moved) >
        0)
        return EXIT_FINDINGS;
    return comparison->moved.not_known > 0 ? EXIT_NOT_KNOWN : EXIT_CLEAN;
}

static void
print_head(const struct comparison *comparison)
{
    const struct state_note *note = &comparison->note;

    printf("Compared with the state approved at %s%s%s%s%s\n", note->at, *note->by ? " by " : "",
           note->by, *note->note ? ": " : "", note->note);
}

static void
print_foot(const struct comparison *comparison)
{
    printf("\nFindings: %zu new, %zu worse, %zu fixed, %zu unchanged\n",
           comparison->turns[TURN_NEW], comparison->turns[TURN_WORSE],
           comparison->turns[TURN_FIXED], comparison->turns[TURN_UNCHANGED]);
    printf("Values: %zu differ", comparison->moved.values);
    for (int kind = 0; kind < DIFFERENCE_METER; kind++)
        if (comparison->moved.of[kind] > 0)
            printf(", %zu %s", comparison->moved.of[kind],
                   difference_class_name((enum difference_class)kind));
    printf("; %zu not known now\n", comparison->moved.not_known);
}

static void
print_json(struct comparison *comparison)
{
    struct json *root = json_new_object(), *approved = json_new_object();
    char *text;

    json_add_number(root, "compare_format", COMPARE_FORMAT);
    json_add_string(approved, "at", comparison->note.at);
    json_add_string(approved, "by", comparison->note.by);
    json_add_string(approved, "note", comparison->note.note);
    json_add(root, "approved", approved);
    json_add(root, "findings", comparison->findings);
    json_add_number(root, "unchanged", (double)comparison->turns[TURN_UNCHANGED]);
    json_add(root, "moved", comparison->moves);
    json_add_number(root, "not_known", (double)comparison->moved.not_known);
    text = json_print(root, true);
    puts(text);
    free(text);
    json_free(root);
}

static int
run(struct comparison *comparison)
{
    bool json = comparison->options->format == FORMAT_JSON;

    if (json) {
        comparison->findings = json_new_array();
        comparison->moves = json_new_array();
    } else {
        print_head(comparison);
    }
    compare_findings(comparison);
    compare_values(comparison);
    if (json)
        print_json(comparison);
    else
        print_foot(comparison);
    return status_of(comparison);
}

/* The checks over the approved desk, with the same show; NULL when there is no such desk. */
static struct engine *
judge_approved(const struct options *options, struct comparison *comparison, int64_t now_ms)
{
    struct problems problems;
    struct session again = {.profile = NULL};
    struct desk *desk = NULL;
    struct engine *engine = NULL;
    bool named;
    char *path = approved_path(options, comparison->session->file, &named);

    problems_init(&problems);
    if (!path)
        problems_add(&problems, "compared with what: name a show file, or --approved FILE");
    else if (session_read(&again, options, options->words[0], false, &problems))
        desk =
            state_file_read(path, engine_desk(again.engine), &comparison->note, now_ms, &problems);
    if (desk) {
        engine = again.engine;
        again.engine = NULL;
        engine_take_values(engine, desk);
        engine_run(engine, now_ms, ignore, NULL);
    }
    desk_free(desk);
    free(path);
    session_release(&again);
    problems_print(&problems, stderr);
    problems_release(&problems);
    return engine;
}

int
command_compare(const struct options *options)
{
    struct session session;
    struct comparison comparison = {.options = options, .session = &session};
    struct link_figures figures;
    int status = EXIT_USAGE;

    if (session_load(&session, options, options->words[0], false) &&
        (comparison.approved = judge_approved(options, &comparison, 0)) &&
        read_once(&session, options->within_s, &figures))
        status = run(&comparison);
    engine_free(comparison.approved);
    session_release(&session);
    return status;
}
