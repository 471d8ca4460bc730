BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0005');
CREATE TABLE batch (
	profile_code VARCHAR NOT NULL, 
	code VARCHAR NOT NULL, 
	CONSTRAINT pk_batch PRIMARY KEY (profile_code, code), 
	CONSTRAINT fk_batch_profile_code FOREIGN KEY(profile_code) REFERENCES profile (code)
);
INSERT INTO "batch" VALUES('ASH-22','B1');
INSERT INTO "batch" VALUES('LEAF-40','G1');
CREATE TABLE entry (
	id INTEGER NOT NULL, 
	at DATETIME NOT NULL, 
	day DATE NOT NULL, 
	kind VARCHAR NOT NULL, 
	who VARCHAR NOT NULL, 
	why VARCHAR NOT NULL, 
	reverses INTEGER, 
	detail JSON NOT NULL, seal VARCHAR, "key" VARCHAR, 
	CONSTRAINT pk_entry PRIMARY KEY (id), 
	CONSTRAINT fk_entry_reverses FOREIGN KEY(reverses) REFERENCES entry (id)
);
INSERT INTO "entry" VALUES(1,'2026-11-27 22:20:55.523068','2026-11-23','setup','ada','',NULL,'{"unit": "mm", "clean_up": "0.5"}','1a9406a0e4371811a89e688af07858e397dfc8d83dec94dc21b08cfd39ce7298',NULL);
INSERT INTO "entry" VALUES(2,'2026-11-27 22:20:55.523068','2026-11-23','take in','ada','',NULL,'{}','d25fd9c1b90eadefeba46be17a12ecd7fd9496f3a8fc120b7e0ff3ee0ca2c865',NULL);
INSERT INTO "entry" VALUES(3,'2026-11-27 22:20:55.523068','2026-11-23','receive','ada','',NULL,'{}','d40343784a32cb55b312995605242254f374ab0236447794226aea668b8b0b8f',NULL);
INSERT INTO "entry" VALUES(4,'2026-11-27 22:20:55.523068','2026-11-23','accept','ada','',NULL,'{}','c01dc7ebb9107170228af44c24e24d733cc23909b66b158b5a096868481dfc1b',NULL);
INSERT INTO "entry" VALUES(5,'2026-11-27 22:20:55.523068','2026-11-23','cut','ada','',NULL,'{"planned_um": [1019896], "measured_um": [1019896], "rails": 4, "allowance_um": 5026, "difference_um": 0, "was_measured": 0, "machine": "main"}','4f5976815ca39d78771f0539f0bddbd2d340c91a595a082379095726badee2c1',NULL);
INSERT INTO "entry" VALUES(6,'2026-11-27 22:20:55.523068','2026-11-23','take in','ada','',NULL,'{}','b80f8988a534482c75a1617ba7e725eeb1a0359da9680a0094210c0bb897f305',NULL);
INSERT INTO "entry" VALUES(7,'2026-11-27 22:20:55.523068','2026-11-23','accept','ada','',NULL,'{}','2132ca0d01aedffac11cd79a8f09f68c0ad3597f06daceebbc875b4c03049ffe',NULL);
INSERT INTO "entry" VALUES(8,'2026-11-27 22:20:55.523068','2026-11-23','flaw','ada','',NULL,'{}','adb05466cb3afb1534b11d2c04136d65958d97b5b071c057634017c8d9d37e21',NULL);
INSERT INTO "entry" VALUES(9,'2026-11-27 22:20:55.523068','2026-11-23','move','ada','',NULL,'{}','51042b8dbeea3fcbf1d37e3591353c879cec77404eb9d20f5760fa5cb2b47946',NULL);
INSERT INTO "entry" VALUES(10,'2026-11-27 22:20:55.523068','2026-11-23','found','ada','',NULL,'{}','1dd7b8e471c0b348b79334faecdda55997a98d9fcf29494a9177e3a7b93ac8f2',NULL);
INSERT INTO "entry" VALUES(11,'2026-11-27 22:20:55.523068','2026-11-23','undo','ada','',10,'{}','cd7765aedfc1f6ead6e439e7de11e46b57ffedd1c4b9b881ec7899fafde6a92d',NULL);
INSERT INTO "entry" VALUES(12,'2026-11-27 22:20:55.523068','2026-11-23','move','ada','',NULL,'{}','9e6acdf054d57d4719ff2cd8aceb20ab0a64ba028c0436acb011e095a0570bba',NULL);
INSERT INTO "entry" VALUES(13,'2026-11-27 22:20:55.523068','2026-11-23','draft order','ada','',NULL,'{}','05775c80b98abc6036d6d59008d3e8d4e354f2e6f7c16f37a93c53711c244e5a',NULL);
INSERT INTO "entry" VALUES(14,'2026-11-27 22:20:55.523068','2026-11-23','place order','ada','',NULL,'{}','cb8e45da7534a0c231d795bc65332a8eb8eaef92ee5aa032f5e5d1803ccd9101',NULL);
INSERT INTO "entry" VALUES(15,'2026-11-27 22:20:55.523068','2026-11-23','receive','ada','order 1',NULL,'{}','147bb3f904ae0faea238a43fdf91d1144e52fc427325f7111e3af0b5d4938472',NULL);
INSERT INTO "entry" VALUES(16,'2026-11-27 22:20:55.523068','2026-11-23','take in','ada','',NULL,'{}','cf00ba426c9ebf0341bfc10e7f013fc9999c04a29db5a7379963e96e1da5f242',NULL);
INSERT INTO "entry" VALUES(17,'2026-11-27 22:39:41.900936','2026-11-27','remeasure','stockroom','far ends that were never cut still have the trims that were booked as lost',NULL,'{}','ff2148186948d183aea321a6f9c3120634dfcb6491c60d5ac5f151d84fdb6d3a',NULL);
CREATE TABLE flaw (
	id INTEGER NOT NULL, 
	piece_id INTEGER NOT NULL, 
	start_um INTEGER NOT NULL, 
	end_um INTEGER NOT NULL, 
	marked_in INTEGER NOT NULL, 
	lifted_in INTEGER, 
	CONSTRAINT pk_flaw PRIMARY KEY (id), 
	CONSTRAINT ck_flaw_ordered CHECK (0 <= start_um AND start_um < end_um), 
	CONSTRAINT fk_flaw_lifted_in FOREIGN KEY(lifted_in) REFERENCES entry (id), 
	CONSTRAINT fk_flaw_marked_in FOREIGN KEY(marked_in) REFERENCES entry (id), 
	CONSTRAINT fk_flaw_piece_id FOREIGN KEY(piece_id) REFERENCES piece (id)
);
INSERT INTO "flaw" VALUES(1,3,1000,2000,8,NULL);
CREATE TABLE frame (
	id INTEGER NOT NULL, 
	job_id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	across_um INTEGER NOT NULL, 
	upright_um INTEGER NOT NULL, 
	done_in INTEGER, 
	dropped_in INTEGER, 
	CONSTRAINT pk_frame PRIMARY KEY (id), 
	CONSTRAINT ck_frame_rails_positive CHECK (across_um > 0 AND upright_um > 0), 
	CONSTRAINT fk_frame_done_in FOREIGN KEY(done_in) REFERENCES entry (id), 
	CONSTRAINT fk_frame_dropped_in FOREIGN KEY(dropped_in) REFERENCES entry (id), 
	CONSTRAINT fk_frame_job_id FOREIGN KEY(job_id) REFERENCES job (id)
);
INSERT INTO "frame" VALUES(1,1,1,535000,435000,5,NULL);
INSERT INTO "frame" VALUES(2,2,1,835000,585000,NULL,NULL);
INSERT INTO "frame" VALUES(3,3,1,535000,435000,NULL,NULL);
CREATE TABLE job (
	id INTEGER NOT NULL, 
	customer VARCHAR NOT NULL, 
	title VARCHAR NOT NULL, 
	profile_code VARCHAR NOT NULL, 
	widths_um JSON NOT NULL, 
	heights_um JSON NOT NULL, 
	depth_um INTEGER, 
	gap_um INTEGER, 
	allowance_um INTEGER, 
	mat_um JSON, 
	mat_overlap_um INTEGER, 
	due DATE NOT NULL, 
	quantity INTEGER NOT NULL, 
	one_batch BOOLEAN NOT NULL, 
	one_piece BOOLEAN NOT NULL, 
	note VARCHAR NOT NULL, 
	state VARCHAR NOT NULL, 
	taken_in INTEGER NOT NULL, 
	CONSTRAINT pk_job PRIMARY KEY (id), 
	CONSTRAINT ck_job_state_known CHECK (state IN ('open', 'held', 'cancelled')), 
	CONSTRAINT ck_job_quantity_positive CHECK (quantity >= 1), 
	CONSTRAINT fk_job_profile_code FOREIGN KEY(profile_code) REFERENCES profile (code), 
	CONSTRAINT fk_job_taken_in FOREIGN KEY(taken_in) REFERENCES entry (id)
);
INSERT INTO "job" VALUES(1,'R. Aldous','','ASH-22','[500000]','[400000]',NULL,NULL,NULL,'null',NULL,'2026-11-27',1,0,0,'','open',2);
INSERT INTO "job" VALUES(2,'R. Aldous','','ASH-22','[800000]','[550000]',NULL,NULL,NULL,'null',NULL,'2026-11-27',1,0,0,'','open',6);
INSERT INTO "job" VALUES(3,'R. Aldous','','ASH-22','[500000]','[400000]',NULL,NULL,NULL,'null',NULL,'2026-11-27',1,0,0,'','open',16);
CREATE TABLE line (
	id INTEGER NOT NULL, 
	entry_id INTEGER NOT NULL, 
	place VARCHAR NOT NULL, 
	cause VARCHAR NOT NULL, 
	profile_code VARCHAR NOT NULL, 
	batch_code VARCHAR NOT NULL, 
	piece_id INTEGER, 
	frame_id INTEGER, 
	rail INTEGER, 
	length_um INTEGER NOT NULL, 
	CONSTRAINT pk_line PRIMARY KEY (id), 
	CONSTRAINT ck_line_rack_names_a_piece CHECK ((place = 'rack') = (piece_id IS NOT NULL)), 
	CONSTRAINT ck_line_rails_name_a_frame CHECK ((place = 'rails') = (frame_id IS NOT NULL AND rail IS NOT NULL)), 
	CONSTRAINT ck_line_place_known CHECK (place IN ('supplier', 'rack', 'rails', 'saw', 'scrap', 'found', 'missing', 'returned')), 
	CONSTRAINT ck_line_length_not_zero CHECK (length_um <> 0), 
	CONSTRAINT fk_line_entry_id FOREIGN KEY(entry_id) REFERENCES entry (id), 
	CONSTRAINT fk_line_frame_id FOREIGN KEY(frame_id) REFERENCES frame (id), 
	CONSTRAINT fk_line_piece_id FOREIGN KEY(piece_id) REFERENCES piece (id), 
	CONSTRAINT fk_line_profile_code FOREIGN KEY(profile_code) REFERENCES profile (code)
);
INSERT INTO "line" VALUES(1,3,'supplier','','ASH-22','B1',NULL,NULL,NULL,-3000000);
INSERT INTO "line" VALUES(2,3,'rack','','ASH-22','B1',1,NULL,NULL,3000000);
INSERT INTO "line" VALUES(3,3,'supplier','','ASH-22','B1',NULL,NULL,NULL,-3000000);
INSERT INTO "line" VALUES(4,3,'rack','','ASH-22','B1',2,NULL,NULL,3000000);
INSERT INTO "line" VALUES(5,3,'supplier','','ASH-22','B1',NULL,NULL,NULL,-3000000);
INSERT INTO "line" VALUES(6,3,'rack','','ASH-22','B1',3,NULL,NULL,3000000);
INSERT INTO "line" VALUES(7,5,'rack','','ASH-22','B1',1,NULL,NULL,-3000000);
INSERT INTO "line" VALUES(8,5,'rails','','ASH-22','B1',NULL,1,0,535000);
INSERT INTO "line" VALUES(9,5,'rails','','ASH-22','B1',NULL,1,2,535000);
INSERT INTO "line" VALUES(10,5,'rails','','ASH-22','B1',NULL,1,1,435000);
INSERT INTO "line" VALUES(11,5,'rails','','ASH-22','B1',NULL,1,3,435000);
INSERT INTO "line" VALUES(12,5,'scrap','end trim','ASH-22','B1',NULL,NULL,NULL,20000);
INSERT INTO "line" VALUES(13,5,'saw','','ASH-22','B1',NULL,NULL,NULL,20104);
INSERT INTO "line" VALUES(14,5,'rack','','ASH-22','B1',4,NULL,NULL,1019896);
INSERT INTO "line" VALUES(15,10,'found','','ASH-22','B1',NULL,NULL,NULL,-700000);
INSERT INTO "line" VALUES(16,10,'rack','','ASH-22','B1',5,NULL,NULL,700000);
INSERT INTO "line" VALUES(17,11,'found','','ASH-22','B1',NULL,NULL,NULL,700000);
INSERT INTO "line" VALUES(18,11,'rack','','ASH-22','B1',5,NULL,NULL,-700000);
INSERT INTO "line" VALUES(19,15,'supplier','','LEAF-40','G1',NULL,NULL,NULL,-3000000);
INSERT INTO "line" VALUES(20,15,'rack','','LEAF-40','G1',6,NULL,NULL,3000000);
INSERT INTO "line" VALUES(21,17,'rack','','ASH-22','B1',4,NULL,NULL,10000);
INSERT INTO "line" VALUES(22,17,'scrap','end trim','ASH-22','B1',NULL,NULL,NULL,-10000);
CREATE TABLE move (
	id INTEGER NOT NULL, 
	piece_id INTEGER NOT NULL, 
	spot VARCHAR NOT NULL, 
	moved_in INTEGER NOT NULL, 
	lifted_in INTEGER, 
	CONSTRAINT pk_move PRIMARY KEY (id), 
	CONSTRAINT fk_move_lifted_in FOREIGN KEY(lifted_in) REFERENCES entry (id), 
	CONSTRAINT fk_move_moved_in FOREIGN KEY(moved_in) REFERENCES entry (id), 
	CONSTRAINT fk_move_piece_id FOREIGN KEY(piece_id) REFERENCES piece (id)
);
INSERT INTO "move" VALUES(1,1,'A1',3,NULL);
INSERT INTO "move" VALUES(2,2,'A1',3,NULL);
INSERT INTO "move" VALUES(3,3,'A1',3,NULL);
INSERT INTO "move" VALUES(4,4,'C1',5,NULL);
INSERT INTO "move" VALUES(5,4,'B2',9,NULL);
INSERT INTO "move" VALUES(6,4,'B3',12,NULL);
CREATE TABLE "piece" (
	id INTEGER NOT NULL, 
	profile_code VARCHAR NOT NULL, 
	batch_code VARCHAR NOT NULL, 
	kind VARCHAR NOT NULL, 
	parent_id INTEGER, 
	came_in INTEGER NOT NULL, 
	left_in INTEGER, 
	since DATE NOT NULL, 
	note VARCHAR NOT NULL, 
	label_end VARCHAR NOT NULL, 
	far_end VARCHAR NOT NULL, 
	CONSTRAINT pk_piece PRIMARY KEY (id), 
	CONSTRAINT fk_piece_left_in FOREIGN KEY(left_in) REFERENCES entry (id), 
	CONSTRAINT ck_piece_kind_known CHECK (kind IN ('stick', 'offcut')), 
	CONSTRAINT fk_piece_profile_code FOREIGN KEY(profile_code) REFERENCES profile (code), 
	CONSTRAINT fk_piece_came_in FOREIGN KEY(came_in) REFERENCES entry (id), 
	CONSTRAINT fk_piece_parent_id FOREIGN KEY(parent_id) REFERENCES piece (id), 
	CONSTRAINT ck_piece_label_end_known CHECK (label_end IN ('factory', 'cut', 'square')), 
	CONSTRAINT ck_piece_far_end_known CHECK (far_end IN ('factory', 'cut', 'square'))
);
INSERT INTO "piece" VALUES(1,'ASH-22','B1','stick',NULL,3,5,'2026-11-23','','factory','factory');
INSERT INTO "piece" VALUES(2,'ASH-22','B1','stick',NULL,3,NULL,'2026-11-23','','factory','factory');
INSERT INTO "piece" VALUES(3,'ASH-22','B1','stick',NULL,3,NULL,'2026-11-23','','factory','factory');
INSERT INTO "piece" VALUES(4,'ASH-22','B1','offcut',1,5,NULL,'2026-11-23','','cut','factory');
INSERT INTO "piece" VALUES(5,'ASH-22','B1','offcut',NULL,10,11,'2026-11-23','','cut','cut');
INSERT INTO "piece" VALUES(6,'LEAF-40','G1','stick',NULL,15,NULL,'2026-11-23','','factory','factory');
CREATE TABLE "plan" (
	id INTEGER NOT NULL, 
	made_at DATETIME NOT NULL, 
	day DATE NOT NULL, 
	who VARCHAR NOT NULL, 
	state VARCHAR NOT NULL, 
	until DATE NOT NULL, 
	problem TEXT NOT NULL, 
	answer TEXT NOT NULL, 
	choices JSON NOT NULL, 
	accepted_in INTEGER, 
	closed_in INTEGER, 
	CONSTRAINT pk_plan PRIMARY KEY (id), 
	CONSTRAINT ck_plan_state_known CHECK (state IN ('drafted', 'accepted', 'finished', 'dropped')), 
	CONSTRAINT fk_plan_accepted_in FOREIGN KEY(accepted_in) REFERENCES entry (id), 
	CONSTRAINT fk_plan_closed_in FOREIGN KEY(closed_in) REFERENCES entry (id)
);
INSERT INTO "plan" VALUES(1,'2026-11-27 22:20:55.523068','2026-11-23','ada','finished','2026-11-30','{"rules": {"cut_allowance_mm": 5.026, "end_trim_mm": 0, "keep_mm": 0}, "profiles": {"ASH-22": {"cut_allowance_mm": 5.026, "end_trim_mm": 10, "keep_mm": 300}}, "pieces": [{"id": "1", "profile": "ASH-22", "batch": "B1", "kind": "stick", "length_mm": 3000, "flaws_mm": [], "since": "2026-11-23"}, {"id": "2", "profile": "ASH-22", "batch": "B1", "kind": "stick", "length_mm": 3000, "flaws_mm": [], "since": "2026-11-23"}, {"id": "3", "profile": "ASH-22", "batch": "B1", "kind": "stick", "length_mm": 3000, "flaws_mm": [], "since": "2026-11-23"}], "frames": [{"id": "J1", "profile": "ASH-22", "rails_mm": [535, 435, 535, 435], "one_batch": false, "one_piece": false, "pin": null, "due": "2026-11-27"}], "worth": {}, "aims": "ordered", "limits": {"seconds": 5, "workers": 1}}','{
 "cuts": [
  {
   "piece": "1",
   "stretch": 0,
   "rails": [
    {
     "frame": "J1",
     "rail": 0,
     "length_mm": 535
    },
    {
     "frame": "J1",
     "rail": 2,
     "length_mm": 535
    },
    {
     "frame": "J1",
     "rail": 1,
     "length_mm": 435
    },
    {
     "frame": "J1",
     "rail": 3,
     "length_mm": 435
    }
   ],
   "leftover_mm": 1019.896,
   "kept": true
  }
 ],
 "short": [],
 "reached": {
  "frames_cut": 1,
  "stick_opened_mm": 3000,
  "worth_mm": 965.686
 },
 "bounds": {
  "frames_cut": 1,
  "stick_opened_mm": 3000,
  "worth_mm": 965.686
 },
 "proof": "optimal",
 "seconds": 1.37,
 "why_opened": {
  "1": "for J1: at least 3000 mm of sticks must be opened for these frames"
 },
 "why_pinned": {}
}','{"frames": {"J1": [1, 0, 1, 2, 3]}, "pins": {}, "barred": [], "without": [], "aims": "ordered", "profile": null, "ahead": 0, "stock": false, "why_opened": {"1": "for J1: at least 3000 mm of sticks must be opened for these frames"}}',4,5);
INSERT INTO "plan" VALUES(2,'2026-11-27 22:20:55.523068','2026-11-23','ada','accepted','2026-11-30','{"rules": {"cut_allowance_mm": 5.026, "end_trim_mm": 0, "keep_mm": 0}, "profiles": {"ASH-22": {"cut_allowance_mm": 5.026, "end_trim_mm": 10, "keep_mm": 300}}, "pieces": [{"id": "2", "profile": "ASH-22", "batch": "B1", "kind": "stick", "length_mm": 3000, "flaws_mm": [], "since": "2026-11-23"}, {"id": "3", "profile": "ASH-22", "batch": "B1", "kind": "stick", "length_mm": 3000, "flaws_mm": [], "since": "2026-11-23"}, {"id": "4", "profile": "ASH-22", "batch": "B1", "kind": "offcut", "length_mm": 1019.896, "flaws_mm": [], "since": "2026-11-23"}], "frames": [{"id": "J2", "profile": "ASH-22", "rails_mm": [835, 585, 835, 585], "one_batch": false, "one_piece": false, "pin": null, "due": "2026-11-27"}], "worth": {}, "aims": "ordered", "limits": {"seconds": 5, "workers": 1}}','{
 "cuts": [
  {
   "piece": "2",
   "stretch": 0,
   "rails": [
    {
     "frame": "J2",
     "rail": 0,
     "length_mm": 835
    },
    {
     "frame": "J2",
     "rail": 2,
     "length_mm": 835
    },
    {
     "frame": "J2",
     "rail": 1,
     "length_mm": 585
    },
    {
     "frame": "J2",
     "rail": 3,
     "length_mm": 585
    }
   ],
   "leftover_mm": 119.896,
   "kept": false
  }
 ],
 "short": [],
 "reached": {
  "frames_cut": 1,
  "stick_opened_mm": 3000,
  "worth_mm": 0
 },
 "bounds": {
  "frames_cut": 1,
  "stick_opened_mm": 3000,
  "worth_mm": 0
 },
 "proof": "optimal",
 "seconds": 0.108,
 "why_opened": {
  "2": "for J2: at least 3000 mm of sticks must be opened for these frames"
 },
 "why_pinned": {}
}','{"frames": {"J2": [2, 0, 1, 2, 3]}, "pins": {}, "barred": [], "without": [], "aims": "ordered", "profile": null, "ahead": 0, "stock": false, "why_opened": {"2": "for J2: at least 3000 mm of sticks must be opened for these frames"}}',7,NULL);
CREATE TABLE planpiece (
	plan_id INTEGER NOT NULL, 
	piece_id INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	held_in INTEGER NOT NULL, 
	settled_in INTEGER, 
	CONSTRAINT pk_planpiece PRIMARY KEY (plan_id, piece_id), 
	CONSTRAINT fk_planpiece_held_in FOREIGN KEY(held_in) REFERENCES entry (id), 
	CONSTRAINT fk_planpiece_piece_id FOREIGN KEY(piece_id) REFERENCES piece (id), 
	CONSTRAINT fk_planpiece_plan_id FOREIGN KEY(plan_id) REFERENCES "plan" (id), 
	CONSTRAINT fk_planpiece_settled_in FOREIGN KEY(settled_in) REFERENCES entry (id)
);
INSERT INTO "planpiece" VALUES(1,1,0,4,5);
INSERT INTO "planpiece" VALUES(2,2,0,7,NULL);
CREATE TABLE planrail (
	id INTEGER NOT NULL, 
	plan_id INTEGER NOT NULL, 
	piece_id INTEGER NOT NULL, 
	stretch INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	frame_id INTEGER NOT NULL, 
	rail INTEGER NOT NULL, 
	length_um INTEGER NOT NULL, 
	held_in INTEGER NOT NULL, 
	settled_in INTEGER, 
	CONSTRAINT pk_planrail PRIMARY KEY (id), 
	CONSTRAINT fk_planrail_frame_id FOREIGN KEY(frame_id) REFERENCES frame (id), 
	CONSTRAINT fk_planrail_held_in FOREIGN KEY(held_in) REFERENCES entry (id), 
	CONSTRAINT fk_planrail_piece_id FOREIGN KEY(piece_id) REFERENCES piece (id), 
	CONSTRAINT fk_planrail_plan_id FOREIGN KEY(plan_id) REFERENCES "plan" (id), 
	CONSTRAINT fk_planrail_settled_in FOREIGN KEY(settled_in) REFERENCES entry (id)
);
INSERT INTO "planrail" VALUES(1,1,1,0,0,1,0,535000,4,5);
INSERT INTO "planrail" VALUES(2,1,1,0,1,1,2,535000,4,5);
INSERT INTO "planrail" VALUES(3,1,1,0,2,1,1,435000,4,5);
INSERT INTO "planrail" VALUES(4,1,1,0,3,1,3,435000,4,5);
INSERT INTO "planrail" VALUES(5,2,2,0,0,2,0,835000,7,NULL);
INSERT INTO "planrail" VALUES(6,2,2,0,1,2,2,835000,7,NULL);
INSERT INTO "planrail" VALUES(7,2,2,0,2,2,1,585000,7,NULL);
INSERT INTO "planrail" VALUES(8,2,2,0,3,2,3,585000,7,NULL);
CREATE TABLE "profile" (
	code VARCHAR NOT NULL, 
	supplier_code VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	kind VARCHAR NOT NULL, 
	face_um INTEGER NOT NULL, 
	rabbet_width_um INTEGER, 
	rabbet_depth_um INTEGER, 
	wall_um INTEGER, 
	recess_depth_um INTEGER, 
	height_um INTEGER, 
	stick_length_um INTEGER NOT NULL, 
	stick_price_minor INTEGER, 
	metre_price_minor INTEGER, 
	batch_matched BOOLEAN NOT NULL, 
	keep_um INTEGER NOT NULL, 
	end_trim_um INTEGER NOT NULL, 
	minimum_sticks INTEGER NOT NULL, 
	species VARCHAR NOT NULL, 
	box_sticks INTEGER, 
	discontinued BOOLEAN DEFAULT 0 NOT NULL, 
	last_order DATE, 
	last_sticks INTEGER, 
	margin_um INTEGER, 
	CONSTRAINT pk_profile PRIMARY KEY (code), 
	CONSTRAINT ck_profile_kind_known CHECK (kind IN ('rabbeted', 'float')), 
	CONSTRAINT ck_profile_stick_longer_than_trims CHECK (stick_length_um > 2 * end_trim_um), 
	CONSTRAINT fk_profile_supplier_code FOREIGN KEY(supplier_code) REFERENCES supplier (code), 
	CONSTRAINT ck_profile_minimum_not_negative CHECK (minimum_sticks >= 0), 
	CONSTRAINT ck_profile_face_positive CHECK (face_um > 0), 
	CONSTRAINT ck_profile_keep_and_trim_not_negative CHECK (keep_um >= 0 AND end_trim_um >= 0), 
	CONSTRAINT ck_profile_margin_not_negative CHECK (margin_um >= 0)
);
INSERT INTO "profile" VALUES('ASH-22','LARK','ash','rabbeted',22000,6000,14000,NULL,NULL,NULL,3000000,1850,NULL,0,300000,10000,2,'',NULL,0,NULL,NULL,NULL);
INSERT INTO "profile" VALUES('LEAF-40','LARK','leaf','rabbeted',40000,6000,14000,NULL,NULL,NULL,3000000,NULL,NULL,1,300000,10000,0,'',NULL,0,NULL,NULL,NULL);
INSERT INTO "profile" VALUES('FLOAT-12','LARK','float','float',12000,NULL,NULL,12000,38000,NULL,3000000,NULL,NULL,0,300000,10000,0,'',NULL,0,NULL,NULL,NULL);
CREATE TABLE purchase (
	id INTEGER NOT NULL, 
	supplier_code VARCHAR NOT NULL, 
	state VARCHAR NOT NULL, 
	reference VARCHAR NOT NULL, 
	due DATE, 
	drafted_in INTEGER NOT NULL, 
	placed_in INTEGER, 
	closed_in INTEGER, 
	CONSTRAINT pk_purchase PRIMARY KEY (id), 
	CONSTRAINT ck_purchase_state_known CHECK (state IN ('draft', 'placed', 'received', 'cancelled')), 
	CONSTRAINT fk_purchase_closed_in FOREIGN KEY(closed_in) REFERENCES entry (id), 
	CONSTRAINT fk_purchase_drafted_in FOREIGN KEY(drafted_in) REFERENCES entry (id), 
	CONSTRAINT fk_purchase_placed_in FOREIGN KEY(placed_in) REFERENCES entry (id), 
	CONSTRAINT fk_purchase_supplier_code FOREIGN KEY(supplier_code) REFERENCES supplier (code)
);
INSERT INTO "purchase" VALUES(1,'LARK','received','','2026-11-30',13,14,15);
CREATE TABLE purchaseline (
	id INTEGER NOT NULL, 
	purchase_id INTEGER NOT NULL, 
	profile_code VARCHAR NOT NULL, 
	sticks INTEGER NOT NULL, 
	stick_length_um INTEGER NOT NULL, 
	price_minor INTEGER, 
	why VARCHAR NOT NULL, 
	CONSTRAINT pk_purchaseline PRIMARY KEY (id), 
	CONSTRAINT ck_purchaseline_length_positive CHECK (stick_length_um > 0), 
	CONSTRAINT ck_purchaseline_sticks_not_negative CHECK (sticks >= 0), 
	CONSTRAINT fk_purchaseline_profile_code FOREIGN KEY(profile_code) REFERENCES profile (code), 
	CONSTRAINT fk_purchaseline_purchase_id FOREIGN KEY(purchase_id) REFERENCES purchase (id)
);
INSERT INTO "purchaseline" VALUES(1,1,'LEAF-40',1,3000000,NULL,'');
CREATE TABLE receipt (
	piece_id INTEGER NOT NULL, 
	line_id INTEGER NOT NULL, 
	received_in INTEGER NOT NULL, 
	lifted_in INTEGER, 
	price_minor INTEGER, 
	CONSTRAINT pk_receipt PRIMARY KEY (piece_id), 
	CONSTRAINT fk_receipt_lifted_in FOREIGN KEY(lifted_in) REFERENCES entry (id), 
	CONSTRAINT fk_receipt_line_id FOREIGN KEY(line_id) REFERENCES purchaseline (id), 
	CONSTRAINT fk_receipt_piece_id FOREIGN KEY(piece_id) REFERENCES piece (id), 
	CONSTRAINT fk_receipt_received_in FOREIGN KEY(received_in) REFERENCES entry (id)
);
INSERT INTO "receipt" VALUES(6,1,15,NULL,NULL);
CREATE TABLE seal (
	name VARCHAR NOT NULL, 
	count INTEGER NOT NULL, 
	digest VARCHAR NOT NULL, 
	CONSTRAINT pk_seal PRIMARY KEY (name)
);
INSERT INTO "seal" VALUES('batch',2,'0f39cbb58057b1f6a5d6f53ff09e69355eb7f2b92a42cc0f9a30d52b5d7468a6');
INSERT INTO "seal" VALUES('flaw',1,'7c9a7e751db425ca64f813c889cab70b645d244a9022fb173bd05d4078a10aa8');
INSERT INTO "seal" VALUES('frame',3,'278f9ff36c5d6c17e52420eb59d79fe52f2d575ed5d5ee7222cdc66ac17dcde5');
INSERT INTO "seal" VALUES('job',3,'d523823309b7a9927bdf49af83eb1b9f0e526c3ddf65fe889caf80445abf7370');
INSERT INTO "seal" VALUES('move',6,'3aabf075cb10b00230c47fec9554f03c35a4918af3621e72f3593d70fddd93b6');
INSERT INTO "seal" VALUES('piece',6,'a842c96f75fce2fb58ac940fe245047f4288ac6dfaee2a150cdb11effbd02418');
INSERT INTO "seal" VALUES('plan',2,'7ac5760174a156d1736422c60bb9305c23608a118e4f4536cd75964d65ecb06a');
INSERT INTO "seal" VALUES('planpiece',2,'86857166b6c4980ac7f4febefaab5237491d4037c6e659ff74684295c6d5dc8d');
INSERT INTO "seal" VALUES('planrail',8,'446387106a5069ef4a867656de926b971e99d35e73257eaa3b5a20e037e34ca2');
INSERT INTO "seal" VALUES('profile',3,'3dfc36b44f9e6dfbb7839b8b358ca024b78c22029233d21e2f5a21cc717be46b');
INSERT INTO "seal" VALUES('purchase',1,'fd072a8be0ee13c6a6eda8e25246f786bb3259f52ff7f99868e24bfdcf3fc08f');
INSERT INTO "seal" VALUES('purchaseline',1,'6dc552b2aa63589ecfd45e01de8c42388717665e86624d55cbaa0db041c3fc19');
INSERT INTO "seal" VALUES('receipt',1,'234e39c26682a9ea030a364815b09e0fb236dae4f902ffff80a588fe3e975b41');
INSERT INTO "seal" VALUES('setting',18,'9857dba46b114d711428a38a7f0117b65f375624c25e032cb2f7a36cc36e4976');
INSERT INTO "seal" VALUES('supplier',1,'4be689c6e5e2b3f4528f48d51a5796910e0fafb64875cabef20d460f55cfab8c');
INSERT INTO "seal" VALUES('entry',17,'ff2148186948d183aea321a6f9c3120634dfcb6491c60d5ac5f151d84fdb6d3a');
CREATE TABLE setting (
	name VARCHAR NOT NULL, 
	value VARCHAR NOT NULL, 
	CONSTRAINT pk_setting PRIMARY KEY (name)
);
INSERT INTO "setting" VALUES('name','The workshop');
INSERT INTO "setting" VALUES('unit','mm');
INSERT INTO "setting" VALUES('fraction','16');
INSERT INTO "setting" VALUES('machine','main');
INSERT INTO "setting" VALUES('machines','{}');
INSERT INTO "setting" VALUES('cutter','saw');
INSERT INTO "setting" VALUES('kerf_um','3200');
INSERT INTO "setting" VALUES('clean_up_um','500');
INSERT INTO "setting" VALUES('hold_clear_um','150000');
INSERT INTO "setting" VALUES('currency','$');
INSERT INTO "setting" VALUES('timezone','UTC');
INSERT INTO "setting" VALUES('seconds','10');
INSERT INTO "setting" VALUES('ahead','0');
INSERT INTO "setting" VALUES('fixings','1/3');
INSERT INTO "setting" VALUES('one_person_kg','15');
INSERT INTO "setting" VALUES('one_person_um','1200000');
INSERT INTO "setting" VALUES('labels','letter 3x10 of 66.675x25.4 from 4.7625x12.7 every 69.85x25.4');
INSERT INTO "setting" VALUES('label_code','qr');
CREATE TABLE supplier (
	code VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	note VARCHAR NOT NULL, lead_days INTEGER, delivery_day INTEGER, order_minimum_minor INTEGER, carriage_minor INTEGER, free_carriage_minor INTEGER, cut_percent INTEGER, cut_fee_minor INTEGER, cut_minimum_minor INTEGER, 
	CONSTRAINT pk_supplier PRIMARY KEY (code)
);
INSERT INTO "supplier" VALUES('LARK','Lark Hollow Mouldings','',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
CREATE TABLE "touch" (
	entry_id INTEGER NOT NULL, 
	what VARCHAR NOT NULL, 
	which VARCHAR NOT NULL, 
	CONSTRAINT pk_touch PRIMARY KEY (entry_id, what, which), 
	CONSTRAINT fk_touch_entry_id FOREIGN KEY(entry_id) REFERENCES entry (id), 
	CONSTRAINT ck_touch_what_known CHECK (what IN ('piece', 'job', 'plan', 'order', 'profile', 'shop'))
);
INSERT INTO "touch" VALUES(1,'shop','settings');
INSERT INTO "touch" VALUES(2,'job','1');
INSERT INTO "touch" VALUES(3,'profile','ASH-22');
INSERT INTO "touch" VALUES(3,'piece','1');
INSERT INTO "touch" VALUES(3,'piece','2');
INSERT INTO "touch" VALUES(3,'piece','3');
INSERT INTO "touch" VALUES(4,'plan','1');
INSERT INTO "touch" VALUES(4,'piece','1');
INSERT INTO "touch" VALUES(4,'job','1');
INSERT INTO "touch" VALUES(5,'plan','1');
INSERT INTO "touch" VALUES(5,'piece','1');
INSERT INTO "touch" VALUES(5,'piece','4');
INSERT INTO "touch" VALUES(5,'job','1');
INSERT INTO "touch" VALUES(6,'job','2');
INSERT INTO "touch" VALUES(7,'plan','2');
INSERT INTO "touch" VALUES(7,'piece','2');
INSERT INTO "touch" VALUES(7,'job','2');
INSERT INTO "touch" VALUES(8,'piece','3');
INSERT INTO "touch" VALUES(9,'piece','4');
INSERT INTO "touch" VALUES(10,'profile','ASH-22');
INSERT INTO "touch" VALUES(10,'piece','5');
INSERT INTO "touch" VALUES(11,'piece','5');
INSERT INTO "touch" VALUES(11,'profile','ASH-22');
INSERT INTO "touch" VALUES(12,'piece','4');
INSERT INTO "touch" VALUES(13,'order','1');
INSERT INTO "touch" VALUES(14,'order','1');
INSERT INTO "touch" VALUES(15,'profile','LEAF-40');
INSERT INTO "touch" VALUES(15,'piece','6');
INSERT INTO "touch" VALUES(15,'order','1');
INSERT INTO "touch" VALUES(16,'job','3');
INSERT INTO "touch" VALUES(17,'piece','4');
CREATE INDEX ix_entry_day ON entry (day);
CREATE UNIQUE INDEX uq_entry_reverses ON entry (reverses);
CREATE INDEX ix_plan_accepted_in ON "plan" (accepted_in);
CREATE INDEX ix_plan_closed_in ON "plan" (closed_in);
CREATE INDEX ix_plan_state ON "plan" (state);
CREATE INDEX ix_job_profile_code ON job (profile_code);
CREATE INDEX ix_job_state_due ON job (state, due);
CREATE INDEX ix_job_taken_in ON job (taken_in);
CREATE INDEX ix_flaw_lifted_in ON flaw (lifted_in);
CREATE INDEX ix_flaw_marked_in ON flaw (marked_in);
CREATE INDEX ix_flaw_piece_id ON flaw (piece_id);
CREATE INDEX ix_frame_done_in ON frame (done_in);
CREATE INDEX ix_frame_dropped_in ON frame (dropped_in);
CREATE UNIQUE INDEX uq_frame_job_id_number ON frame (job_id, number);
CREATE INDEX ix_move_lifted_in ON move (lifted_in);
CREATE INDEX ix_move_moved_in ON move (moved_in);
CREATE INDEX ix_move_piece_id ON move (piece_id);
CREATE INDEX ix_planpiece_held_in ON planpiece (held_in);
CREATE INDEX ix_planpiece_settled_in ON planpiece (settled_in);
CREATE UNIQUE INDEX uq_planpiece_held ON planpiece (piece_id) WHERE settled_in IS NULL;
CREATE INDEX ix_line_entry_id ON line (entry_id);
CREATE INDEX ix_line_frame_id_rail ON line (frame_id, rail);
CREATE INDEX ix_line_piece_id ON line (piece_id);
CREATE INDEX ix_planrail_held_in ON planrail (held_in);
CREATE INDEX ix_planrail_piece_id ON planrail (piece_id);
CREATE INDEX ix_planrail_plan_id_piece_id ON planrail (plan_id, piece_id);
CREATE INDEX ix_planrail_settled_in ON planrail (settled_in);
CREATE UNIQUE INDEX uq_planrail_held ON planrail (frame_id, rail) WHERE settled_in IS NULL;
CREATE INDEX ix_purchase_closed_in ON purchase (closed_in);
CREATE INDEX ix_purchase_drafted_in ON purchase (drafted_in);
CREATE INDEX ix_purchase_placed_in ON purchase (placed_in);
CREATE INDEX ix_purchase_state ON purchase (state);
CREATE INDEX ix_purchase_supplier_code ON purchase (supplier_code);
CREATE UNIQUE INDEX uq_purchaseline_profile ON purchaseline (purchase_id, profile_code);
CREATE INDEX ix_receipt_lifted_in ON receipt (lifted_in);
CREATE INDEX ix_receipt_line_id ON receipt (line_id);
CREATE INDEX ix_receipt_received_in ON receipt (received_in);
CREATE INDEX ix_touch_what_which ON touch (what, which);
CREATE UNIQUE INDEX uq_entry_key ON entry ("key");
CREATE INDEX ix_profile_supplier_code ON profile (supplier_code);
CREATE INDEX ix_piece_open ON piece (profile_code) WHERE left_in IS NULL;
CREATE INDEX ix_piece_came_in ON piece (came_in);
CREATE INDEX ix_piece_parent_id ON piece (parent_id);
CREATE INDEX ix_piece_left_in ON piece (left_in);
COMMIT;
