/* What a block does to the shared state, and the rules: docs/proving.md told in C. Included into the search. */
#define MOST_PAIRS 512
#define CH 3
typedef struct { int kind, side, forward, rotating, central, driven; } Deed;
typedef struct { int kind, next, number, named, in0, in1, tool, d0, d1, dtool, slides, deeds; Deed *deed; } Block;
enum { LEFT = 1, RIGHT = 2, TURNING = 1, BAR_STOP = 4, BAR_PULLER = 5, NOTHING = 0, JOINED = 1, PIECE = 2 };

int pairs, channels[MOST_PAIRS];
Block *blocks[MOST_PAIRS][CH];
char seen[MOST_PAIRS][64];

void hit(int code) {
  if (!seen[now.p][code]) { seen[now.p][code] = 1; printf("HIT %d %d\n", now.p, code); }
}

static int number(FILE *f) { int v; if (fscanf(f, "%d", &v) != 1) exit(3); return v; }

void load(void) {
  if (pairs) return;
  FILE *f = fopen("pairs.txt", "r");
  if (!f) exit(3);
  pairs = number(f);
  for (int p = 0; p < pairs; p++) {
    channels[p] = number(f);
    for (int c = 0; c < channels[p]; c++) {
      int many = number(f);
      Block *b = blocks[p][c] = calloc(many, sizeof(Block));
      for (int i = 0; i < many; i++) {
        int *field = (int *) &b[i];
        for (int k = 0; k < 12; k++) field[k] = number(f);
        b[i].deed = calloc(b[i].deeds + 1, sizeof(Deed));
        for (int k = 0; k < b[i].deeds; k++)
          for (int j = 0; j < 6; j++) ((int *) &b[i].deed[k])[j] = number(f);
      }
    }
  }
  fclose(f);
}

static Block *block(int c, int i) { return &blocks[now.p][c][i]; }
int named_of(int c, int i) { return block(c, i)->named; }
int next_of(int c, int i) { return block(c, i)->next; }

/* A channel stands before a block: the zones it is inside, its tool; who shares a zone with it. */
static int forward(void) { return now.fwd || now.under[0] || now.under[1] || now.under[2]; }
static void meet(void) {
  for (int a = 0; a < now.n; a++)
    for (int b = a + 1; b < now.n; b++) {
      if (now.kind[a] == TURNING && now.kind[b] == TURNING) continue;
      int crossed = (now.in0[a] && now.in1[b]) || (now.in1[a] && now.in0[b]);
      if ((now.in0[a] && now.in0[b]) || (forward() && crossed)) hit(F_zones_left);
      if (now.in1[a] && now.in1[b]) hit(F_zones_right);
    }
}
void stand(int c, int i) {
  Block *b = block(c, i);
  now.in0[c] = b->in0; now.in1[c] = b->in1; now.kind[c] = b->tool; now.mid[c] = b->slides;
  meet();
  for (int a = 0; a < now.n; a++)
    for (int o = 0; now.mid[a] && o < now.n; o++)
      if (o != a && (now.in1[o] || (now.under[a] && now.in0[o]))) hit(F_zones_slide);
}

/* Waits. */
void arrive(int c, int i) {
  Block *b = block(c, i);
  now.at[c] = b->number;
  for (int o = 0; o < 8; o++)
    if ((b->named >> o & 1) && (o >= now.n || now.at[o] != b->number)) return;
  now.at[c] = 0; now.go[c] = 1;
  for (int o = 0; o < now.n; o++)
    if (b->named >> o & 1) { now.at[o] = 0; now.go[o] = 1; }
}
/* Rules 3 and 8: tools in a zone. */
static void tools_in(Block *b, int c, int side, int puller_too, int code) {
  for (int o = 0; o < now.n; o++) {
    int in = o == c ? (side == LEFT ? b->d0 : b->d1) : (side == LEFT ? now.in0[o] : now.in1[o]);
    int tool = o == c ? b->dtool : now.kind[o];
    if (in && tool != BAR_STOP && !(puller_too && tool == BAR_PULLER)) hit(code);
  }
}

static int loose_left(void) { return now.lt && !now.lc; }
static int loose_right(void) { return now.rt && !now.rc && !now.syn; }
static int twisted(void) { return now.held == JOINED && now.lc && (now.lt || now.rt) && !now.syn; }

static void started(int left, int right) {
  if ((left && now.lx) || (right && now.rx)) hit(F_holding_10_start);
  if ((left && now.lb) || (right && now.rb)) hit(F_holding_13);
}

static void turning(Deed *d) {
  int left = d->side == LEFT;
  switch (d->kind) {
  case D_start:
    if (now.syn && !left) break;
    started(left, !left || now.syn);
    if (left) now.lt = 1;
    if (!left || now.syn) now.rt = 1;
    break;
  case D_stop:
    if (now.syn && !left) break;
    if (left) now.lt = 0;
    if (!left || now.syn) now.rt = 0;
    break;
  case D_sync_on:
    if (now.lt && !now.rt) started(0, 1);
    now.syn = 1; now.rt = now.lt;
    break;
  case D_sync_off: now.syn = 0; break;
  }
}

static void opening(Block *b, int c, Deed *d, int joined_before, int *right_opened) {
  if (d->side == LEFT) {
    if (!now.lc) return;
    if (now.lt) hit(F_holding_2);
    tools_in(b, c, LEFT, 1, F_holding_3);
    if (*right_opened && joined_before) hit(F_holding_14);
    now.lc = 0;
    return;
  }
  if (!now.rc) return;
  if (now.rt) hit(F_holding_2);
  tools_in(b, c, RIGHT, 1, F_holding_3);
  if (now.held == PIECE && !now.cat) hit(F_holding_6);
  if (!now.lc && joined_before) hit(F_holding_14);
  *right_opened = 1; now.held = NOTHING; now.rc = 0;
}

static void closing(Deed *d) {
  if (d->side == LEFT) { now.lc = 1; return; }
  if (!now.rc && now.fwd && now.stock) now.held = JOINED;
  now.rc = 1;
}

static void c_axis(Deed *d) {
  int left = d->side == LEFT, turns = left ? now.lt : now.rt;
  switch (d->kind) {
  case D_c_on:
    if (turns) hit(F_holding_10_c_on);
    if (left) now.lx = 1; else now.rx = 1;
    break;
  case D_c_off: if (left) now.lx = 0; else now.rx = 0; break;
  case D_brake_on:
    if (turns) hit(F_holding_13);
    if (left) now.lb = 1; else now.rb = 1;
    break;
  case D_brake_off: if (left) now.lb = 0; else now.rb = 0; break;
  case D_c_move: if (left ? now.lb : now.rb) hit(F_holding_13); break;
  }
}

static void cut(Deed *d) {
  int left = d->side == LEFT, turns = left ? now.lt : now.rt, c_on = left ? now.lx : now.rx;
  if (!(left ? now.lc : now.rc)) hit(F_holding_1);
  if (!left && now.held == NOTHING) hit(F_holding_11);
  if (!d->rotating) {
    if (!turns) hit(F_holding_9_stopped);
    if (c_on) hit(F_holding_9_c_on);
    return;
  }
  if (!d->central && !c_on) hit(F_holding_9_c_off);
  if (!d->central && turns) hit(F_holding_9_turning);
  if (!d->driven) hit(F_holding_9_drive_stopped);
}

static void cut_off(void) {
  if (!now.stock) return;
  if (now.held != JOINED && !now.cat) hit(F_holding_5);
  now.stock--;
  if (now.held == JOINED) now.held = PIECE;
}

static void slide(int c, Deed *d) {
  if (now.held == JOINED && now.lc) hit(F_holding_7);
  if (now.held == JOINED && !now.lc) now.stock = 2;
  now.under[c] = now.fwd || d->forward;
  now.fwd = d->forward;
}

static void do_deed(Block *b, int c, Deed *d, int joined_before, int *right_opened) {
  switch (d->kind) {
  case D_start: case D_stop: case D_sync_on: case D_sync_off: turning(d); break;
  case D_open: opening(b, c, d, joined_before, right_opened); break;
  case D_close: closing(d); break;
  case D_c_on: case D_c_off: case D_brake_on: case D_brake_off: case D_c_move: c_axis(d); break;
  case D_catcher_out: now.cat = 1; break;
  case D_catcher_in: now.cat = 0; break;
  case D_bar_feed:
    if (now.lc) hit(F_holding_8_clamp);
    tools_in(b, c, LEFT, 0, F_holding_8_zone);
    if (!now.stock) now.stock = 1;
    break;
  case D_pull: if (!now.lc && !now.stock) now.stock = 1; break;
  case D_slide: slide(c, d); break;
  case D_slide_rests: now.under[c] = 0; break;
  case D_cut: cut(d); break;
  case D_cut_off: cut_off(); break;
  }
}

void act(int c, int i) {
  Block *b = block(c, i);
  int joined_before = now.held == JOINED, right_opened = 0, was_forward = now.fwd, slides = 0;
  for (int k = 0; k < b->deeds; k++) {
    Deed *d = &b->deed[k];
    int left = loose_left(), right = loose_right(), twist = twisted();
    do_deed(b, c, d, joined_before, &right_opened);
    if ((loose_left() && !left) || (loose_right() && !right)) hit(F_holding_2);
    if (twisted() && !twist) hit(F_holding_4);
    slides |= d->kind == D_slide;
  }
  for (int o = 0; slides && o < now.n; o++)
    if (o != c && (now.in1[o] || ((was_forward || now.fwd) && now.in0[o]))) hit(F_zones_slide);
  stand(c, b->next);
}

/* Behind the last pass of all channels. */
void last(void) {
  if (now.lt || now.rt) hit(F_holding_12_turning);
  if (now.held == PIECE) hit(F_holding_12_piece);
}
