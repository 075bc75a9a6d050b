/* SPDX-License-Identifier: MIT */
#define _XOPEN_SOURCE_EXTENDED 1
#include "screen/screen.h"

#include <signal.h>
#include <stdlib.h>
#include <string.h>

#include <ncurses.h>

#include "base/clock.h"
#include "base/columns.h"
#include "core/need.h"
#include "screen/terminal.h"

enum {
    SURE_MS = 3000,
    CLOCK_MS = 1000,
    ESCAPE_MS = 50, /* how long a lone Esc may hold the loop up: keys send more behind it */
    FAR_DOWN = 999
};

#define KEYS                                                                                       \
    "Arrows, j k, page up, page down, Home, End: scroll; Enter: one row a finding or all of it; "  \
    "Tab, 1 to 9: another desk; Ctrl-L: draw anew; "

/* What the last rows say, by whether q leaves. */
static const struct {
    const char *help, *idle;
} prompts[] = {
    {KEYS "q twice: end the watch; ?: away with this", "? for the keys"},
    {KEYS "q: leave, the watch goes on; ?: away with this", "? for the keys, q leaves"},
};

struct screen {
    struct loop *loop;
    struct screen_owner owner;
    struct terminal *terminal;
    SCREEN *curses;
    struct loop_signal *resized, *continued, *stopped;
    struct loop_timer *clock, *sure;
    struct view_extent extent; /* of what was drawn last */
    size_t scroll, chosen, desks;
    bool asked, helps, brief;
    bool away;   /* in the background, or was when last looked at */
    bool behind; /* the terminal had not taken the last drawing when there was news */
};

/* Adds what the terminal has for it, where it has something. */
static void
add_capability(char *to, size_t size, const char *sequence)
{
    if (sequence && sequence != (const char *)-1 && strlen(to) + strlen(sequence) < size)
        strcat(to, sequence);
}

/* For a crash: plain characters, keys and cursor as they were, below what was drawn or on the
 * screen before it. */
static void
remember_leaving(struct terminal *terminal)
{
    char leave[200] = "", *down = tigetstr("cud");

    add_capability(leave, sizeof leave, tigetstr("sgr0"));
    add_capability(leave, sizeof leave, tigetstr("rmkx"));
    add_capability(leave, sizeof leave, tigetstr("cnorm"));
    if (down && down != (char *)-1)
        add_capability(leave, sizeof leave, tiparm(down, FAR_DOWN));
    add_capability(leave, sizeof leave, "\r\n");
    add_capability(leave, sizeof leave, tigetstr("rmcup"));
    terminal_on_crash(terminal, leave);
}

/* ---- tones ---- */

static bool
has_colours(void)
{
    const char *none = getenv("NO_COLOR"); /* no-color.org */

    return has_colors() && !(none && *none);
}

/* The terminal's own background stays: dark where it is dark. */
static void
set_colours(void)
{
    if (!has_colours())
        return;
    start_color();
    use_default_colors();
    init_pair(TONE_STOP, COLOR_RED, -1);
    init_pair(TONE_FIX, COLOR_YELLOW, -1);
    init_pair(TONE_ALARM, COLOR_RED, -1);
    init_pair(TONE_HEAD, COLOR_CYAN, -1);
}

static attr_t
attributes(enum tone tone)
{
    attr_t colour = has_colours() ? (attr_t)COLOR_PAIR(tone) : A_NORMAL;

    switch (tone) {
    case TONE_STOP:
    case TONE_ALARM:
    case TONE_HEAD:
        return colour | A_BOLD;
    case TONE_FIX:
        return colour;
    case TONE_DIM:
        return A_DIM;
    case TONE_PLAIN:
    case TONE_NOTE:
        break;
    }
    return A_NORMAL;
}

/* ---- drawing ---- */

/* `context`: how many were drawn. */
static void
draw_row(void *context, const struct view_row *row)
{
    int *drawn = context;
    size_t length = strlen(row->text), lead = row->lead < length ? row->lead : length;

    attrset((int)attributes(row->tone));
    mvaddnstr((*drawn)++, 0, row->text, (int)lead);
    attrset(A_NORMAL);
    addstr(row->text + lead);
}

/* The size that the terminal has now; all is drawn anew the next time. */
static void
take_size(struct screen *screen)
{
    int width, height;

    terminal_size(screen->terminal, &width, &height);
    resizeterm(height, width);
    clearok(curscr, TRUE);
}

/* In front again it is ours again: not every shell says so. False in the background. */
static bool
take_back(struct screen *screen)
{
    bool front = terminal_is_in_front(screen->terminal);

    if (front && screen->away) {
        terminal_take(screen->terminal);
        take_size(screen);
    }
    screen->away = !front;
    return front;
}

/* False while nothing can be drawn. */
static bool
may_draw(struct screen *screen)
{
    if (!take_back(screen))
        return false;
    screen->behind = !terminal_is_ready(screen->terminal);
    return !screen->behind;
}

static void
end_drawing(struct screen *screen)
{
    refresh();
    terminal_send(screen->terminal);
}

void
screen_draw_rows(struct screen *screen, screen_rows_fn *rows, void *context)
{
    int drawn = 0;

    if (!may_draw(screen))
        return;
    erase();
    rows(context, COLS, LINES, draw_row, &drawn);
    end_drawing(screen);
}

void
screen_draw(struct screen *screen, struct view *view)
{
    int drawn = 0;

    if (!may_draw(screen))
        return;
    screen->desks = view->desk_count;
    if (screen->chosen >= view->desk_count)
        screen->chosen = 0;
    view->chosen = screen->chosen;
    view->prompt = screen->asked   ? "End the watch? q again within 3 s"
                   : screen->helps ? prompts[screen->owner.leaves].help
                                   : prompts[screen->owner.leaves].idle;
    view->brief = screen->brief;
    clock_time(view->clock);
    erase();
    screen->extent = view_rows(view, COLS, LINES, screen->scroll, draw_row, &drawn);
    screen->scroll = screen->extent.scroll;
    end_drawing(screen);
}

static void
draw(void *context)
{
    struct screen *screen = context;

    screen->owner.draw(screen->owner.context);
}

/* ---- keys ---- */

/* Drawing holds it at the end. */
static void
scroll_to(struct screen *screen, bool down, size_t rows)
{
    if (down)
        screen->scroll += rows;
    else
        screen->scroll -= rows < screen->scroll ? rows : screen->scroll;
}

/* False when the key does not scroll. */
static bool
scroll_key(struct screen *screen, int key)
{
    size_t page = screen->extent.room > 1 ? screen->extent.room - 1 : 1;

    switch (key) {
    case KEY_UP:
    case KEY_PPAGE:
    case 'k':
        scroll_to(screen, false, key == KEY_PPAGE ? page : 1);
        return true;
    case KEY_DOWN:
    case KEY_NPAGE:
    case 'j':
    case ' ':
        scroll_to(screen, true, key == KEY_NPAGE || key == ' ' ? page : 1);
        return true;
    case KEY_HOME:
        screen->scroll = 0;
        return true;
    case KEY_END:
        screen->scroll += screen->extent.below;
        return true;
    default:
        return false;
    }
}

void
screen_choose(struct screen *screen, size_t desk)
{
    screen->chosen = desk;
    screen->scroll = 0;
}

static void
on_unsure(void *context)
{
    struct screen *screen = context;

    screen->asked = false;
    draw(screen);
}

/* False when the watch ends, or is left. */
static bool
take_key_of_watch(struct screen *screen, int key)
{
    bool asked = screen->asked;

    screen->asked = false;
    if (key >= '1' && key <= '9' && (size_t)(key - '1') < screen->desks) {
        screen_choose(screen, (size_t)(key - '1'));
        return true;
    }
    if (scroll_key(screen, key))
        return true;
    switch (key) {
    case '\t':
        screen_choose(screen, screen->desks > 0 ? (screen->chosen + 1) % screen->desks : 0);
        break;
    case '\n':
    case KEY_ENTER:
        screen->brief = !screen->brief;
        screen->scroll = 0;
        break;
    case '?':
        screen->helps = !screen->helps;
        break;
    case 'q':
        if (asked || screen->owner.leaves) {
            screen->owner.end(screen->owner.context);
            return false;
        }
        screen->asked = true;
        loop_timer_start(screen->sure, SURE_MS, 0);
        break;
    default:
        break;
    }
    return true;
}

/* The same. */
static bool
take_key(struct screen *screen, int key)
{
    if (key == 'L' - '@') { /* Ctrl-L */
        clearok(curscr, TRUE);
        return true;
    }
    if (!screen->owner.key)
        return take_key_of_watch(screen, key);
    if (key == 'q')
        screen->owner.end(screen->owner.context);
    else
        screen->owner.key(screen->owner.context, key);
    return key != 'q';
}

static void
on_keys(void *context)
{
    struct screen *screen = context;
    int key;

    while ((key = getch()) != ERR)
        if (!take_key(screen, key))
            return;
    draw(screen);
}

static void
on_taken(void *context)
{
    struct screen *screen = context;

    if (screen->behind)
        draw(screen);
}

static void
on_resized(void *context, int number)
{
    (void)number;
    take_size(context);
    draw(context);
}

/* Ctrl-Z. The system's own way of stopping is taken, since it does not stop what nobody could
 * continue. */
static void
on_stopped(void *context, int number)
{
    struct screen *screen = context;

    endwin();
    terminal_send(screen->terminal);
    terminal_give(screen->terminal);
    loop_signal_close(screen->stopped);
    raise(number);
    screen->stopped = loop_signal_open(screen->loop, number, on_stopped, screen);
    screen->away = true;
    draw(screen);
}

/* ---- opening and closing ---- */

bool
screen_is_gone(const struct screen *screen)
{
    return terminal_is_gone(screen->terminal);
}

/* ncurses' own handlers are not for a program with a loop. */
static void
drop_handlers(void)
{
    static const int numbers[] = {SIGTSTP, SIGWINCH};

    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        signal(numbers[i], SIG_DFL);
}

/* False when the terminal is none on which a row and a column can be chosen. */
static bool
start_curses(struct screen *screen)
{
    const char *to_place;

    columns_set_locale();
    screen->curses = newterm(NULL, terminal_out(screen->terminal), terminal_in(screen->terminal));
    drop_handlers();
    if (!screen->curses)
        return false;
    to_place = tigetstr("cup");
    return to_place && to_place != (const char *)-1;
}

static void
set_modes(void)
{
    set_colours();
    set_escdelay(ESCAPE_MS);
    typeahead(-1); /* a drawing is never left half done */
    cbreak();
    noecho();
    nodelay(stdscr, TRUE);
    keypad(stdscr, TRUE);
    curs_set(0);
}

static void
free_screen(struct screen *screen)
{
    terminal_close(screen->terminal);
    if (screen->curses)
        delscreen(screen->curses);
    free(screen);
}

struct screen *
screen_open(struct loop *loop, struct screen_owner owner)
{
    struct screen *screen = need_memory(1, sizeof *screen);

    screen->loop = loop;
    screen->owner = owner;
    screen->terminal = terminal_open(loop, (struct terminal_owner){on_keys, on_taken, screen});
    if (!screen->terminal || !start_curses(screen)) {
        free_screen(screen); /* what ncurses wrote was not sent */
        return NULL;
    }
    remember_leaving(screen->terminal);
    set_modes();
    screen->resized = loop_signal_open(loop, SIGWINCH, on_resized, screen);
    screen->continued = loop_signal_open(loop, SIGCONT, on_resized, screen);
    screen->stopped = loop_signal_open(loop, SIGTSTP, on_stopped, screen);
    screen->clock = loop_timer_open(loop, draw, screen);
    screen->sure = loop_timer_open(loop, on_unsure, screen);
    terminal_take(screen->terminal);
    take_size(screen);
    loop_timer_start(screen->clock, 0, CLOCK_MS);
    return screen;
}

void
screen_close(struct screen *screen)
{
    if (!screen)
        return;
    loop_signal_close(screen->resized);
    loop_signal_close(screen->continued);
    loop_signal_close(screen->stopped);
    loop_timer_close(screen->clock);
    loop_timer_close(screen->sure);
    endwin();
    terminal_send(screen->terminal);
    free_screen(screen);
}
