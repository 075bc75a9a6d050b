/* SPDX-License-Identifier: MIT */
/* A screen of an invented evening, for looking at and for tests: no desk, no network.
 *
 *     screen_probe evening   one desk
 *     screen_probe stages    eight desks, one of them lost
 *     screen_probe many      10,000 findings
 *     screen_probe hostile   labels that terminals measure differently
 *     screen_probe long      labels of 54 bytes, of which a row takes the most
 *
 * SIGUSR1 lets it abort, SIGUSR2 loses the first desk. Every tenth of a second it says over its
 * standard error, when that is no terminal, that its loop turns.
 */
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "screen/screen.h"

enum { DESKS = 8, MANY = 10000, TURN_MS = 100 };

struct probe {
    struct loop *loop;
    struct screen *screen;
    struct view_desk desks[DESKS];
    size_t desk_count;
};

static const struct view_finding open_ones[] = {
    {WEIGHT_FIX, false, false, "keys",
     "mix 3 Keys wedge: the master stands at -8 dB, so everything in the mix is 8 dB lower "
     "[master-off-unity]",
     "46 s", "", true, "-8 dB", "mix 3 Keys wedge: master back to 0, slowly"},
    {WEIGHT_STOP, false, false, "drums",
     "mix 8 Drums IEM: an in-ear mix without a limiter: nothing stops a sudden loud sound on its "
     "way to the ears "
     "[ears-unprotected]",
     "41 min 02 s", "", false, "no limiter", "mix 8 Drums IEM: packs down, then the limiter on"},
    {WEIGHT_FIX, false, true, "lead vocal",
     "input 18 Ld Vox: the high-pass is off; a lead-vocal source needs nothing below "
     "100 Hz, and it is open into a loudspeaker mix [high-pass-missing]",
     "12 min 41 s", "", false, "100 Hz", "input 18 Ld Vox: high-pass on"},
    {WEIGHT_FIX, false, false, "guitar",
     "mix 2 Gtr wedge: 9 cuts, 1 band at the end stop, turned the mix down by 3.5 dB for speech, "
     "1.8 dB for pink noise: a master can do that. What stays as shape is 1.6 dB around it "
     "(graphic bands taken as 1/3 octave wide) [too-many-cuts]",
     "41 min 02 s", "", false, "9 cuts", "mix 2 Gtr wedge: preamps down, then shallow cuts out"},
    {WEIGHT_NOTE, false, false, "",
     "input 24 Spare: open into mix 5 Side-fill, and nothing is plugged in [open-unused-input]",
     "8.2 s", "quieting 1 (re-patching)", false, "30 dB",
     "Spare -> 5 Side-fill: mute it, preamp down"},
    {WEIGHT_NOTE, false, false, "horns",
     "mix 4 Horns wedge: 7 cuts turned the mix down by 2.4 dB for speech [too-many-cuts]",
     "41 min 02 s", "room show", false, "7 cuts",
     "mix 4 Horns wedge: preamps down, then shallow cuts out"},
};

#define DRUMS "\xe3\x83\x89\xe3\x83\xa9\xe3\x83\xa0"
#define SINGER "\xf0\x9f\x91\xa9\xe2\x80\x8d\xf0\x9f\x8e\xa4"
#define SNARE "\xf0\x9f\xa5\x81\xef\xb8\x8f a\xcc\x81\xcc\x82\xcd\xb8 "
#define MONITOR "\xe3\x83\xa2\xe3\x83\x8b\xe3\x82\xbf\xe3\x83\xbc"

static const struct view_finding strange_ones[] = {
    {WEIGHT_STOP, false, false, DRUMS, "mix 8 " SINGER SNARE DRUMS " " MONITOR ": no limiter, END",
     "1.0 s", "", false, "", ""},
};

/* Labels as long as the desk takes them, wide ones among them; number and cure are whole. */
static const struct view_finding long_ones[] = {
    {WEIGHT_FIX, false, false, "lead vocal",
     "input 18 " DRUMS DRUMS DRUMS DRUMS DRUMS DRUMS ": the send into mix 1 " MONITOR
     " jumped from -13 to 10 dB while open [value-jumped]",
     "12 s", "", true, "+23 dB",
     DRUMS DRUMS DRUMS DRUMS DRUMS DRUMS " -> 1 " SINGER SNARE MONITOR ": put it back to -13"},
};

static const char unknown_ones[][VIEW_TEXT_SIZE] = {
    "phantom-mismatch, input 9 BV 1: input.phantom of input 9 was never heard",
    "loop-margin, mix 5 Side-fill: nobody measured a ring-out of it",
};
static const char quieted_ones[][VIEW_TEXT_SIZE] = {
    "quieting 1, input 24: ends in 21 min 18 s, held back 1 (re-patching)",
};
static const char last_ones[][VIEW_TEXT_SIZE] = {
    "21:05:12 room doors -> show (by the timetable): notes are held back",
    "21:14:30 scene recalled: 42 values moved, protection is as it was",
    "21:24:24 raised fix 100 Hz  input 18 Ld Vox: high-pass on",
    "21:31:40 raised fix -6 dB  mix 5 Side-fill: master back to 0, slowly",
    "21:32:21 cleared [master-off-unity] mix 5 Side-fill after 41 s",
    "21:36:19 raised fix -8 dB  mix 3 Keys wedge: master back to 0, slowly",
    "21:36:58 quieting 1, input 24, until 21:58 (re-patching)",
};

enum { LENGTH_OF_OPEN = sizeof open_ones / sizeof *open_ones };

static void
fill_desk(struct view_desk *desk, const char *show, const char *room, size_t from, size_t count)
{
    *desk = (struct view_desk){.findings = open_ones + from, .finding_count = count};
    snprintf(desk->show, sizeof desk->show, "%s", show);
    snprintf(desk->room, sizeof desk->room, "%s", room);
    snprintf(desk->link, sizeof desk->link,
             "desk steady, heard 0.4 s ago; 2154 values known, 0 "
             "stale");
    desk->unknown = unknown_ones;
    desk->unknown_count = sizeof unknown_ones / sizeof *unknown_ones;
    desk->not_known = desk->unknown_count;
    desk->quiets = quieted_ones;
    desk->quiet_count = sizeof quieted_ones / sizeof *quieted_ones;
    desk->events = last_ones;
    desk->event_count = sizeof last_ones / sizeof *last_ones;
}

static void
lose(struct view_desk *desk)
{
    static struct view_finding stale[LENGTH_OF_OPEN];

    memcpy(stale, open_ones, sizeof stale);
    for (size_t i = 0; i < LENGTH_OF_OPEN; i++)
        stale[i].stale = true;
    desk->findings = stale;
    desk->lost = true;
    snprintf(desk->link, sizeof desk->link,
             "desk LOST for 2 min 05 s: all STALE, findings as of 21:37:05");
}

static void
fill_evening(struct probe *probe)
{
    fill_desk(&probe->desks[0], "Ostrel Barn, Saturday", "show", 0, LENGTH_OF_OPEN);
    probe->desk_count = 1;
}

static void
fill_stages(struct probe *probe)
{
    static const char *const shows[DESKS] = {
        "Ostrel Barn, Saturday", "Quarry Stage", "Boathouse",   "Mill Floor",
        "Orchard Tent",          "Chapel Ruin",  "Ferry Steps", "Rain Barn, acoustic night"};
    static const char *const rooms[] = {"show", "changeover, ends in 12 min 05 s", "line-check",
                                        "doors"};

    for (size_t i = 0; i < DESKS; i++) {
        size_t from = i < LENGTH_OF_OPEN ? i : LENGTH_OF_OPEN;

        fill_desk(&probe->desks[i], shows[i], rooms[i % 4], from, LENGTH_OF_OPEN - from);
        probe->desks[i].not_known = i;
    }
    lose(&probe->desks[4]);
    probe->desk_count = DESKS;
}

static void
fill_many(struct probe *probe)
{
    static struct view_finding many[MANY];

    fill_evening(probe);
    for (size_t i = 0; i < MANY; i++) {
        many[i] = open_ones[3];
        snprintf(many[i].player, sizeof many[i].player, "player %zu", i);
    }
    probe->desks[0].findings = many;
    probe->desks[0].finding_count = MANY;
}

static void
fill_hostile(struct probe *probe)
{
    fill_evening(probe);
    probe->desks[0].findings = strange_ones;
    probe->desks[0].finding_count = 1;
}

static void
fill_long(struct probe *probe)
{
    fill_evening(probe);
    probe->desks[0].findings = long_ones;
    probe->desks[0].finding_count = 1;
}

static const struct {
    const char *name;
    void (*fill)(struct probe *probe);
} fills[] = {{"evening", fill_evening},
             {"stages", fill_stages},
             {"many", fill_many},
             {"hostile", fill_hostile},
             {"long", fill_long}};

static void
draw(void *context)
{
    struct probe *probe = context;
    struct view view = {.desks = probe->desks, .desk_count = probe->desk_count};

    screen_draw(probe->screen, &view);
}

static void
end(void *context)
{
    struct probe *probe = context;

    screen_close(probe->screen);
    probe->screen = NULL;
    loop_stop(probe->loop);
}

static void
on_signal(void *context, int number)
{
    struct probe *probe = context;

    if (number == SIGUSR1)
        abort();
    if (number == SIGTERM) {
        end(probe);
    } else {
        lose(&probe->desks[0]);
        draw(probe);
    }
}

static void
on_turn(void *context)
{
    (void)context;
    if (!isatty(STDERR_FILENO))
        fputs("turn\n", stderr);
}

static bool
fill(struct probe *probe, const char *name)
{
    for (size_t i = 0; i < sizeof fills / sizeof *fills; i++)
        if (strcmp(fills[i].name, name) == 0) {
            fills[i].fill(probe);
            return true;
        }
    return false;
}

int
main(int argc, char **argv)
{
    static const int numbers[] = {SIGTERM, SIGUSR1, SIGUSR2};
    static struct probe probe;
    struct loop_signal *signals[3];
    struct loop_timer *turn;

    if (argc != 2 || !fill(&probe, argv[1])) {
        fputs("usage: screen_probe evening|stages|many|hostile\n", stderr);
        return 2;
    }
    probe.loop = loop_new();
    for (int i = 0; i < 3; i++)
        signals[i] = loop_signal_open(probe.loop, numbers[i], on_signal, &probe);
    turn = loop_timer_open(probe.loop, on_turn, &probe);
    loop_timer_start(turn, TURN_MS, TURN_MS);
    probe.screen =
        screen_open(probe.loop, (struct screen_owner){draw, end, &probe, .leaves = false});
    if (!probe.screen)
        fputs("no terminal to draw on\n", stderr);
    else
        loop_run(probe.loop);
    for (int i = 0; i < 3; i++)
        loop_signal_close(signals[i]);
    loop_timer_close(turn);
    loop_free(probe.loop);
    return 0;
}
