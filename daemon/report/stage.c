/* SPDX-License-Identifier: MIT */
#include "report/stage.h"

#include <math.h>
#include <stdio.h>

#include "core/text.h"
#include "engine/onsets.h"

static const enum param_id reads[] = {LOOPS_READS, PARAM_MIX_NAME, PARAMS};

/* What ring-outs measured takes the place of what the plan allows for. */
static void
measure(struct stage_report *report)
{
    const struct proofs *proofs = engine_proofs(report->session->engine);
    struct onset_measured onsets[ONSETS_MOST];

    if (proofs)
        measured_take(report->loops, onsets, onsets_of(proofs, onsets));
}

void
stage_report_make(struct stage_report *report, const struct session *session,
                  const struct link_figures *figures)
{
    const struct stage *stage = engine_show(session->engine)->stage;
    struct verdict aside;
    struct look look =
        look_reader(engine_desk(session->engine), engine_show(session->engine), reads, &aside);

    *report = (struct stage_report){.session = session, .figures = figures, .stage = stage};
    report->loops = loops_new(stage);
    measure(report);
    loops_hear(report->loops, &look);
    report->misses = look_missing(&look);
    report->strangers = loops_strangers(report->loops, &look);
    report->worst = margin_of_stage(report->loops, PHASES_WORST);
    report->random = margin_of_stage(report->loops, PHASES_RANDOM);
    report->path_count = loops_leading(report->loops, report->paths, STAGE_REPORT_PATHS);
    report->help_count = helps_of(report->loops, report->helps);
    if (report->help_count > STAGE_REPORT_HELPS)
        report->help_count = STAGE_REPORT_HELPS;
}

void
stage_report_release(struct stage_report *report)
{
    loops_free(report->loops);
}

int
stage_report_status(const struct stage_report *report)
{
    return report->loops->unknown > 0 ? EXIT_NOT_KNOWN : EXIT_CLEAN;
}

/* Paths that are open, or may be, and are in no figure: not known, or the plan does not place them. */
static int
left_out(const struct stage_report *report)
{
    return report->loops->unknown + report->loops->unplaced;
}

const char *
stage_report_extent(const struct stage_report *report)
{
    return left_out(report) > 0 ? "what is known of the stage" : "the whole stage";
}

const char *
stage_report_no_loop(const struct stage_report *report)
{
    return left_out(report) > 0
               ? "Nothing can be estimated: what may ring is left out, because it is not known."
               : "No loop is closed: nothing of the plan can ring as the desk stands.";
}

const char *
stage_report_nothing_else(const struct stage_report *report)
{
    return left_out(report) > 0 ? ", and of what is known nothing else rings"
                                : ", and nothing else rings";
}

static struct look
look_aside(const struct stage_report *report, struct verdict *aside)
{
    return look_reader(engine_desk(report->session->engine), engine_show(report->session->engine),
                       reads, aside);
}

bool
stage_report_is_for_ears(const struct stage_report *report, int mix)
{
    struct verdict aside;
    struct look look = look_aside(report, &aside);

    return look_feeds(&look, report->loops->mixes[mix]) == FEEDS_IN_EAR;
}

/* Paths from the microphone into the mix that are left out, -1: from any, into any. */
static struct loops_gaps
gaps_of(const struct stage_report *report, int microphone, int mix)
{
    struct verdict aside;
    struct look look = look_aside(report, &aside);

    if (left_out(report) == 0)
        return (struct loops_gaps){0, 0};
    return loops_gaps(report->loops, &look, microphone, mix);
}

/* Microphones that are open into a mix with a loudspeaker, or may be. */
static int
open_microphones(const struct stage_report *report)
{
    int count = 0;

    for (int i = 0; i < report->stage->microphone_count; i++) {
        struct loops_gaps gaps = gaps_of(report, i, -1);
        bool is_open = gaps.unknown + gaps.unplaced > 0; /* or may be */

        for (int mix = 0; mix < report->loops->mix_count; mix++)
            is_open |= loops_path(report->loops, i, mix).gain_db > -HUGE_VAL;
        count += is_open;
    }
    return count;
}

const char *
stage_report_house(const struct stage_report *report, struct house *house)
{
    if (!report->stage->listens)
        return "";
    if (house_of(report->stage, open_microphones(report), house))
        return NULL;
    return "the plan places no house loudspeaker, or no microphone";
}

bool
stage_report_hand(const struct stage_report *report, int microphone, double *loss_db)
{
    *loss_db = hand_loss_db(report->loops, microphone);
    return report->stage->microphones[microphone].in_hand && *loss_db >= HELP_LEAST_DB;
}

struct margin
stage_report_margin(const struct stage_report *report, const struct loop_path *path)
{
    struct margin margin = margin_of_path(report->loops, *path);

    margin.absolute &= report->random.absolute;
    return margin;
}

double
stage_report_db(const struct stage_report *report, const struct loop_path *path)
{
    struct margin margin = stage_report_margin(report, path);

    return margin.absolute ? margin.db : path->gain_db - report->paths[0].gain_db;
}

const struct loops_measured *
stage_report_measured(const struct stage_report *report, const struct loop_path *path)
{
    const struct loops_measured *measured = &report->loops->measured[path->microphone][path->mix];

    return measured->there ? measured : NULL;
}

double
stage_report_allowance_db(const struct stage_report *report, const struct loop_path *path)
{
    return pattern_rows[report->stage->microphones[path->microphone].pattern].allowance_db;
}

/* ---- words ---- */

static const char *
name(const struct stage_report *report, enum param_id id, int row, char says[STAGE_NAME_SIZE])
{
    const char *label = desk_text(engine_desk(report->session->engine), id, row, 0);

    snprintf(says, STAGE_NAME_SIZE, "%s %d%s%s", id == PARAM_INPUT_NAME ? "input" : "mix", row + 1,
             *label ? " " : "", label);
    return says;
}

const char *
stage_report_input(const struct stage_report *report, int microphone, char says[STAGE_NAME_SIZE])
{
    return name(report, PARAM_INPUT_NAME, report->stage->microphones[microphone].inputs.of[0],
                says);
}

const char *
stage_report_mix(const struct stage_report *report, int mix, char says[STAGE_NAME_SIZE])
{
    return name(report, PARAM_MIX_NAME, report->loops->mixes[mix], says);
}

double
stage_report_hz(int band)
{
    return band_graphic_nominal_hz(BANDS, band);
}

/* What is left out of the mix could ring first, or be the player's own microphone. NULL: nothing. */
static const char *
why_deaf(const struct stage_report *report, int ears, struct ears_level *level)
{
    static const char *const whys[] = {
        [EARS_NO_LOUDSPEAKER] = "no loudspeaker of the plan plays it",
        [EARS_NOTHING_OPEN] = "no microphone that the plan places is open into it",
        [EARS_NO_WAY] = "the plan does not tell where its loudspeakers are",
    };
    enum ears_why why = ears_level(report->loops, ears, STAGE_REPORT_MARGIN_DB, level);
    struct loops_gaps gaps = {0, 0};

    if (why != EARS_NO_LOUDSPEAKER)
        gaps = gaps_of(report, -1, level->mix);
    if (gaps.unknown > 0)
        return "a path into it is not known";
    if (why == EARS_HEAR && gaps.unplaced > 0)
        return "the plan does not tell where both ends of an open path into it are";
    return whys[why];
}

bool
stage_report_deaf(const struct stage_report *report, int ears, struct ears_level *level,
                  char says[STAGE_HELP_SIZE])
{
    const char *why = why_deaf(report, ears, level);
    char mix[STAGE_NAME_SIZE];

    if (why)
        snprintf(says, STAGE_HELP_SIZE, "%s: %s",
                 name(report, PARAM_MIX_NAME, report->stage->ears[ears].mix, mix), why);
    return why != NULL;
}

/* Of several that play the mix its place tells which. */
static void
say_loudspeaker(struct text *text, const struct stage_report *report, const struct help *help,
                const char *mix)
{
    const struct stage_loudspeaker *one = &report->stage->loudspeakers[help->loudspeaker];

    text_add(text, "the loudspeaker of %s", mix);
    if (one->placed &&
        stage_loudspeakers_of(report->stage, report->loops->mixes[help->path.mix]) > 1)
        text_add(text, " at x %f, y %f m", one->at.x_m, one->at.y_m);
}

static void
say_turn(struct text *text, const struct stage_report *report, const struct help *help,
         const char *input, const char *mix)
{
    text_add(text, "turn the microphone of %s on its stand by %f degrees, %s ", input,
             fabs(help->degrees), help->degrees > 0 ? "away from" : "towards");
    say_loudspeaker(text, report, help, mix);
}

/* Where it hears least, because a tighter pattern hears worse what stands straight behind. */
static void
say_pattern(struct text *text, const struct stage_report *report, const struct help *help,
            const char *input)
{
    double a = pattern_rows[help->pattern].a;
    const struct stage_microphone *microphone = &report->stage->microphones[help->path.microphone];

    text_add(text, "a %s in place of the %s of %s: it hears least at %f degrees",
             pattern_rows[help->pattern].name, pattern_rows[microphone->pattern].name, input,
             round(pattern_null_degrees(a)));
    if (a < 0.5)
        text_add(text, ", and a wedge straight behind it only %f dB below the front",
                 round(-pattern_db(a, 180, -HUGE_VAL)));
}

const char *
stage_report_help(const struct stage_report *report, const struct help *help,
                  char says[STAGE_HELP_SIZE])
{
    char input[STAGE_NAME_SIZE], mix[STAGE_NAME_SIZE];
    struct text text;

    stage_report_input(report, help->path.microphone, input);
    stage_report_mix(report, help->path.mix, mix);
    text_init(&text, says, STAGE_HELP_SIZE);
    switch (help->kind) {
    case HELP_TURN:
        say_turn(&text, report, help, input, mix);
        break;
    case HELP_NULL:
        text_add(&text, "move ");
        say_loudspeaker(&text, report, help, mix);
        text_add(&text,
                 " to x %f, y %f m, facing the ears, as far from them as now: %s hears least there",
                 help->to.x_m, help->to.y_m, input);
        break;
    case HELP_NEARER:
        text_add(&text, "bring ");
        say_loudspeaker(&text, report, help, mix);
        text_add(&text, " nearer its player's ears, to %f m", help->metres);
        break;
    case HELP_MOUTH:
        text_add(&text, "the mouth nearer the microphone of %s, to %f cm", input,
                 100 * help->metres);
        break;
    case HELP_IN_EARS:
        text_add(&text, "in-ears in place of the loudspeaker%s of %s",
                 stage_loudspeakers_of(report->stage, report->loops->mixes[help->path.mix]) > 1
                     ? "s"
                     : "",
                 mix);
        break;
    case HELP_PATTERN:
        say_pattern(&text, report, help, input);
        break;
    case HELP_CLOSE:
        text_add(&text, "close %s while nobody uses it", input);
        break;
    case HELP_HIGH_PASS:
        text_add(&text, "a high-pass at %f Hz, 18 dB per octave, on %s", help->hz, input);
        break;
    case HELP_KINDS:
        break;
    }
    return says;
}
