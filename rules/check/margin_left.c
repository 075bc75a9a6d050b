/* SPDX-License-Identifier: MIT */
/* What is left of the margin that a ring-out proved (proof/proof.h), for the mix whose own paths
 * rose. What another mix took away, and allowances, are shown elsewhere and raise nothing.
 */
#include <math.h>
#include <stddef.h>

#include "check/check.h"
#include "core/sum.h"
#include "proof/reads.h"
#include "proof/say.h"

enum { NOTE_DB, FIX_DB, LOST_DB };

static const enum param_id reads[] = {PROOF_READS, PARAMS};

/* ---- judging ---- */

/* What was missing for the proof is missing here. */
static void
miss_values(struct look *look, const struct proof *proof, int mix)
{
    struct misses misses = proof_missing(proof, mix);

    look->misses = misses;
    look->missing = misses.named + misses.more;
    if (look->missing == 0)
        look_miss(look, INDEX_MIX, mix, "a path into another mix is not known");
    look_not_known(look);
}

static void
miss_proof(struct look *look, int mix, const struct proof_mix *of)
{
    switch (of->why) {
    case PROOF_OPENED:
    case PROOF_OTHER_OPENED:
        look_miss(look, INDEX_INPUT, of->input,
                  "it is open into a loudspeaker, and no ring-out proved it so");
        break;
    case PROOF_TAKEN:
        look_miss(look, INDEX_MIX, of->mix,
                  "it passed what was proved, so that the other mixes have no proof");
        break;
    case PROOF_ALONE_ONLY:
        look_miss(look, INDEX_MIX, mix, "its margin was only proved with other mixes closed");
        break;
    case PROOF_WHYS:
        break;
    }
    look_not_known(look);
}

/* What its own paths rose by is known without a proof: a finding ends when they are put back, though
 * another mix is past meanwhile. */
static bool
is_put_back(const struct look *look, const struct proof_mix *of)
{
    return look->stands && !isnan(of->rose_db) && of->state == PROOF_NONE &&
           (of->why == PROOF_TAKEN || of->why == PROOF_OTHER_OPENED);
}

/* What did not rise by much is well where it has a proof. */
static void
pass(struct look *look, int mix, const struct proof_mix *of)
{
    if (of->state == PROOF_LEFT || is_put_back(look, of))
        look_pass(look);
    else
        miss_proof(look, mix, of);
}

/* Of the parts that rose, and by how much. */
static const char *const part_figures[SINCE_MOST][2] = {
    {"part", "part_rose_db"}, {"part_2", "part_2_rose_db"}, {"part_3", "part_3_rose_db"}};

/* Figures of the path that rose the most, or else that limits. */
static void
add_path(struct look *look, int mix, const struct proof_mix *of)
{
    const struct proof_figure *figure = of->margin.ceiling >= 0 ? &of->margin : &of->alone;
    bool rose = of->rose_input >= 0;
    int input = rose ? of->rose_input : figure->input;
    double hz = rose && of->margin.ceiling < 0 ? of->rose_hz : figure->hz;
    struct since since;

    if (input < 0)
        return;
    look_figure(look, "through_input", input + 1);
    if (!isnan(hz))
        look_figure(look, "at_hz", hz);
    since = proof_since(look->ground->proof, input, mix, hz);
    for (int i = 0; i < since.count; i++) {
        look_figure(look, part_figures[i][0], since.of[i].part);
        look_figure(look, part_figures[i][1], since.of[i].db);
    }
}

/* Finer than any control, and coarser than what a desk's numbers lose on their way: 3 dB up are 3 dB. */
static double
hundredths(double db)
{
    return round(db * 100) / 100;
}

static void
judge(struct look *look, int mix, const struct proof_mix *of)
{
    double left_db = hundredths(of->counted_db);
    bool lost = hundredths(of->lost_db) >= look->settings[LOST_DB];

    if (left_db >= look->settings[NOTE_DB] && !lost) {
        pass(look, mix, of);
        return;
    }
    look_found(look, left_db < look->settings[FIX_DB] || lost ? WEIGHT_FIX : WEIGHT_NOTE, -left_db);
    look_figure(look, "past_db", -left_db);
    if (of->after_db >= 0) {
        look_figure(look, "after_db", of->after_db);
        look_figure(look, "gone_db", of->after_db - left_db);
    }
    add_path(look, mix, of);
    if (of->opened_input >= 0)
        look_figure(look, "opened_input", of->opened_input + 1);
    look->verdict->inferred = look->show->mixes[mix].feeds == FEEDS_UNKNOWN;
}

static void
run(struct look *look, struct object object)
{
    struct proof *proof = look->ground->proof;
    const struct proof_mix *of;

    if (!proof || proof_desk(proof) != look->desk) /* a desk that is only thought of */
        return;
    of = proof_of_mix(proof, object.mix);
    if (of->state == PROOF_NO_LOOP)
        return;
    if (of->state == PROOF_CLOSED)
        look_closed(look);
    else if (of->state == PROOF_NOT_KNOWN)
        miss_values(look, proof, object.mix);
    else if (!isnan(of->counted_db))
        judge(look, object.mix, of);
    else
        pass(look, object.mix, of);
}

/* ---- words ---- */

static void
say_path(struct wording *wording)
{
    double input = verdict_figure(wording->verdict, "through_input");
    double hz = verdict_figure(wording->verdict, "at_hz");
    struct since since = {0};

    if (isnan(input))
        return;
    if (!isnan(hz)) {
        text_add(&wording->says, ", at ");
        proof_says_hz(&wording->says, hz);
    }
    text_add(&wording->says, ", through input ");
    look_add_input(wording->look, &wording->says, (int)input - 1);
    while (since.count < SINCE_MOST &&
           !isnan(verdict_figure(wording->verdict, part_figures[since.count][0]))) {
        const char *const *names = part_figures[since.count];

        since.of[since.count++] =
            (struct since_part){(int)verdict_figure(wording->verdict, names[0]),
                                verdict_figure(wording->verdict, names[1])};
    }
    since_says(&wording->says, &since);
}

static void
say_opened(struct wording *wording)
{
    double opened = verdict_figure(wording->verdict, "opened_input");

    if (isnan(opened))
        return;
    text_add(&wording->says, "; input ");
    look_add_input(wording->look, &wording->says, (int)opened - 1);
    text_add(&wording->says, " is open into it too, and has no proof");
}

static void
say(struct wording *wording)
{
    double past_db = verdict_figure(wording->verdict, "past_db");
    double after_db = verdict_figure(wording->verdict, "after_db");

    if (past_db > 0)
        text_add(&wording->says, "%f dB past what the ring-out proved", past_db);
    else
        text_add(&wording->says, "%f dB left of what the ring-out proved", -past_db);
    if (!isnan(after_db))
        text_add(&wording->says, " (%f dB right after it)", after_db);
    say_path(wording);
    say_opened(wording);
    text_add(&wording->says, ". From the desk's numbers alone: after the stage has moved, ring out "
                             "again");
    if (past_db > 0 && isnan(verdict_figure(wording->verdict, part_figures[0][0])))
        text_add(&wording->cure,
                 "its master down by %f dB or more; then ring out again, in-ears out", past_db);
    else
        text_add(&wording->cure,
                 "put back what moved up, the largest first, slowly, with a hand on the "
                 "master; or ring out again, in-ears out");
}

static void
work(struct text *text, const struct verdict *verdict)
{
    double after_db = verdict_figure(verdict, "after_db");
    double past_db = verdict_figure(verdict, "past_db");

    text_add(text, "What is left is the gain of a path at a ceiling, which did not ring, less its "
                   "gain now: the least of it over every open path and frequency. ");
    if (!isnan(after_db)) {
        text_add(text, "What rose since took as much of what was left right after the ring-out: ");
        sum_difference(text, after_db, verdict_figure(verdict, "gone_db"));
        text_add(text, ". ");
    }
    text_add(text,
             past_db > 0 ? "So the mix is %f dB past what was proved."
                         : "So %f dB are left to what was proved.",
             fabs(past_db));
}

const struct check check_margin_left = {
    .id = "margin-left",
    .number = CHECK_MARGIN_LEFT,
    .subject = SUBJECT_PROTECTION,
    .objects = OBJECT_MIX,
    .spread = SPREAD_MIXES,
    .urgency = URGENT_FIX,
    .watch_only = true,
    .of_proofs = true,
    .reads = reads,
    .settings = {{"note_db", 4, 0.5, 20, "less proved margin than this is a note", 0.5, WEIGHT_NOTE,
                  CREDIT_PRACTICE},
                 {"fix_db", 2, 0, 20, "less than this is to fix", 0.5, WEIGHT_FIX, CREDIT_PRACTICE},
                 {"lost_db", 3, 0.5, 20, "so much less than right after the ring-out is to fix",
                  -0.5, WEIGHT_FIX, CREDIT_PRACTICE}},
    .severity = "past_db",
    .worse_step = 1,
    .raise_after_s = 1,
    .fails_when =
        "paths into a loudspeaker mix rose, and of the margin that a ring-out proved little is "
        "left, or much less than right after it; or the ring-out itself left them past it. What "
        "another mix took away, and what moved down, raises nothing. Not asked where no proof is "
        "kept; with proofs of single mixes alone it is not known, but for a mix that is past its "
        "own.",
    .why = "A ring-out ends a few dB below the first ring. Each dB that a preamp, send, master or "
           "band goes up afterwards comes off that, in every loop it is part of, and nobody hears "
           "it go until it howls.",
    .cure = "Put back what moved up, the largest first; or ring out again.",
    .formula =
        "the least of (path gain at a ceiling - path gain now) over the open loop paths and "
        "frequencies, the best over all ceilings. Raising everything alike raises each loop's "
        "eigenvalue alike, and raising one entry of a matrix without negative entries never lowers "
        "its spectral radius; phases are left out",
    .source = "O. Perron and G. Frobenius; R. Horn and C. Johnson, Matrix Analysis, section 8.1 "
              "(from memory). "
              "At least 6 dB below the ring: D. Davis and R. Jones, Sound Reinforcement Handbook, "
              "5.3.1. What is too little: common practice, no source.",
    .disagreement =
        "How far to step back from the first ring: 3 dB (\"'Ringing Out' a Sound System\", "
        "musiciansfriend.com FAQ), at least 6 dB (D. Davis and R. Jones, Sound Reinforcement "
        "Handbook, 5.3.1), up to 10 dB at concerts (multimed.org). Who steps back by 3 dB sets "
        "note_db and fix_db lower. Some listen instead of counting: a margin on paper knows "
        "nothing of a microphone that was cupped.",
    .run = run,
    .say = say,
    .work = work,
};
