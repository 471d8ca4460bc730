BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0011');
CREATE TABLE batch (
	profile_code VARCHAR NOT NULL, 
	code VARCHAR NOT NULL, 
	CONSTRAINT pk_batch PRIMARY KEY (profile_code, code), 
	CONSTRAINT fk_batch_profile_code FOREIGN KEY(profile_code) REFERENCES profile (code)
);
INSERT INTO "batch" VALUES('ASH-22','B1');
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
INSERT INTO "entry" VALUES(1,'2026-11-27 22:58:26.626776','2026-11-23','setup','ada','',NULL,'{"unit": "mm", "clean_up": "0.5"}','95f588120bf1c8c5a5dcd9d899a5fd83354d65e54d380ef4cef43f493e3ea440',NULL);
INSERT INTO "entry" VALUES(2,'2026-11-27 22:58:26.626776','2026-11-23','take in','ada','',NULL,'{}','e33663233cf20d4a11ae266787590fe657b14e69b6977e371b7e13331f7812e5',NULL);
INSERT INTO "entry" VALUES(3,'2026-11-27 22:58:26.626776','2026-11-23','receive','ada','',NULL,'{}','982268b44456a4faf2d2ebe33ddc0896a50b978710be5c44c4f65b64404f1004',NULL);
INSERT INTO "entry" VALUES(4,'2026-11-27 22:58:26.626776','2026-11-23','accept','ada','',NULL,'{}','451dd9e9ec3c2082d9cac8b4f11c665fbcb815b53ae5ed259235b310a3a77582',NULL);
INSERT INTO "entry" VALUES(5,'2026-11-27 22:58:26.626776','2026-11-23','cut','ada','',NULL,'{"planned_um": [1029896], "measured_um": [1029896], "rails": 4, "allowance_um": 5026, "difference_um": 0, "trim_um": 10000, "was_measured": 0, "machine": "main"}','12cffabf16f5cd7384116cc665d9ec8d01baa57aa11e3f5b485d7c53271b9689',NULL);
INSERT INTO "entry" VALUES(6,'2026-11-27 22:58:26.626776','2026-11-23','move','ada','',NULL,'{}','ee21d7aafb1882257454c2e18c04e5d2c422fb4a14049b1f7bc0cd1cadb9fd95',NULL);
INSERT INTO "entry" VALUES(7,'2026-11-27 22:58:26.626776','2026-11-23','undo','ada','',6,'{}','4d31838e73bc178c192c21949762d8a6cc7a1632f6e88610d32ae3898e3cbb41',NULL);
INSERT INTO "entry" VALUES(8,'2026-11-27 22:58:26.626776','2026-11-23','take in','ada','',NULL,'{}','48b901335e904b00311e550a2285e36306c05247aa89e3ec1afe4bf88e4e8efa',NULL);
INSERT INTO "entry" VALUES(9,'2026-11-27 22:58:26.626776','2026-11-23','accept','ada','',NULL,'{}','dce398794f3fcc67ee0dc3f83982a6671bae36e3e18d9d987ca0bf8190afbe7d',NULL);
INSERT INTO "entry" VALUES(10,'2026-11-27 22:58:26.626776','2026-11-23','take in','ada','',NULL,'{}','84c5038fb944528a5a0e145ddd80668303c74ed8bf22eb39bfb8e842aadfc856',NULL);
INSERT INTO "entry" VALUES(11,'2026-11-28 01:37:09.360573','2026-11-23','change','ada','',NULL,'{"was": {"phone": ""}, "is": {"phone": "0123 45 67"}, "frames": {}}','f0255d6a84d8cfbabbab13f831e52269fbf71db112ef7860990d9449aa233684',NULL);
INSERT INTO "entry" VALUES(12,'2026-11-28 01:37:09.360573','2026-11-23','joined','ada','',NULL,'{"was": {"stage": ""}, "is": {"stage": "joined"}, "frames": {}}','00bb25f1f8d51866f240d00d0855ffa9158f99f66dc668d7edcd396cb4afa3bc',NULL);
INSERT INTO "entry" VALUES(13,'2026-11-28 05:23:20.071414','2026-11-23','receive','ada','',NULL,'{}','bb344e3ec1ded991104438d62f9b1ad3041a76bc4ea10c77e6dbf41b727150ef',NULL);
INSERT INTO "entry" VALUES(14,'2026-11-28 05:23:20.071414','2026-11-23','sold','ada','R. Aldous',NULL,'{"planned_um": [1784974], "measured_um": [1784974], "rails": 1, "allowance_um": 5026, "difference_um": 0, "trim_um": 10000, "was_measured": 0, "machine": "main"}','ea9165b8db337e6bc01e6869811688941e8a4ec77b61f40f4138d362acf81ae0',NULL);
INSERT INTO "entry" VALUES(15,'2026-11-28 11:35:32.941417','2026-11-23','mark','ada','bowed',NULL,'{"marks": {"5": {"longest_um": null, "grade": "", "owner": "", "motif_um": null}}}','1cfebed5bfb080959834d6deba9dff8a54911580a28c780d8214747e6cb84528',NULL);
INSERT INTO "entry" VALUES(16,'2026-11-28 21:27:59.391029','2026-11-28','change profile','ada','',NULL,'{"changed": ["price_breaks: none -> 10: 17.20; 40: 16.00"]}','e0b25fca9db7d030abe749bd4077e614112e94144eefe7a3fa624e8c882a7a06',NULL);
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
CREATE TABLE frame (
	id INTEGER NOT NULL, 
	job_id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	across_um INTEGER NOT NULL, 
	upright_um INTEGER NOT NULL, 
	done_in INTEGER, 
	dropped_in INTEGER, layer INTEGER DEFAULT '0' NOT NULL, profile_code VARCHAR CONSTRAINT fk_frame_profile_code REFERENCES profile (code), rails_um JSON, 
	CONSTRAINT pk_frame PRIMARY KEY (id), 
	CONSTRAINT ck_frame_rails_positive CHECK (across_um > 0 AND upright_um > 0), 
	CONSTRAINT fk_frame_done_in FOREIGN KEY(done_in) REFERENCES entry (id), 
	CONSTRAINT fk_frame_dropped_in FOREIGN KEY(dropped_in) REFERENCES entry (id), 
	CONSTRAINT fk_frame_job_id FOREIGN KEY(job_id) REFERENCES job (id)
);
INSERT INTO "frame" VALUES(1,1,1,535000,435000,5,NULL,0,NULL,NULL);
INSERT INTO "frame" VALUES(2,2,1,535000,435000,NULL,NULL,0,NULL,NULL);
INSERT INTO "frame" VALUES(3,2,2,535000,435000,NULL,NULL,0,NULL,NULL);
INSERT INTO "frame" VALUES(4,3,1,535000,435000,NULL,NULL,0,NULL,NULL);
CREATE TABLE "job" (
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
	bench_days INTEGER, 
	phone VARCHAR DEFAULT '' NOT NULL, 
	stage VARCHAR DEFAULT '' NOT NULL, layers JSON, match_job INTEGER, shape VARCHAR DEFAULT '' NOT NULL, match_batch VARCHAR DEFAULT '' NOT NULL, lengths_um JSON, takes VARCHAR DEFAULT '' NOT NULL, 
	CONSTRAINT pk_job PRIMARY KEY (id), 
	CONSTRAINT ck_job_quantity_positive CHECK (quantity >= 1), 
	CONSTRAINT fk_job_profile_code FOREIGN KEY(profile_code) REFERENCES profile (code), 
	CONSTRAINT fk_job_taken_in FOREIGN KEY(taken_in) REFERENCES entry (id), 
	CONSTRAINT ck_job_state_known CHECK (state IN ('open', 'held', 'cancelled')), 
	CONSTRAINT ck_job_stage_known CHECK (stage IN ('', 'joined', 'fitted', 'ready', 'collected'))
);
INSERT INTO "job" VALUES(1,'R. Aldous','','ASH-22','[500000]','[400000]',NULL,NULL,NULL,'null',NULL,'2026-11-27',1,0,0,'=1+1 [bold]','open',2,NULL,'0123 45 67','joined',NULL,NULL,'','',NULL,'');
INSERT INTO "job" VALUES(2,'Ö. Lindqvåg','','ASH-22','[500000]','[400000]',NULL,NULL,NULL,'null',NULL,'2026-11-27',2,0,0,'','open',8,NULL,'','',NULL,NULL,'','',NULL,'');
INSERT INTO "job" VALUES(3,'R. Aldous','','ASH-22','[500000]','[400000]',NULL,NULL,NULL,'null',NULL,'2026-11-27',1,0,0,'','open',10,NULL,'','',NULL,NULL,'','',NULL,'');
CREATE TABLE "line" (
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
	CONSTRAINT fk_line_frame_id FOREIGN KEY(frame_id) REFERENCES frame (id), 
	CONSTRAINT fk_line_profile_code FOREIGN KEY(profile_code) REFERENCES profile (code), 
	CONSTRAINT fk_line_piece_id FOREIGN KEY(piece_id) REFERENCES piece (id), 
	CONSTRAINT fk_line_entry_id FOREIGN KEY(entry_id) REFERENCES entry (id), 
	CONSTRAINT ck_line_length_not_zero CHECK (length_um <> 0), 
	CONSTRAINT ck_line_rails_name_a_frame CHECK ((place = 'rails') = (frame_id IS NOT NULL AND rail IS NOT NULL)), 
	CONSTRAINT ck_line_place_known CHECK (place IN ('supplier', 'rack', 'rails', 'saw', 'scrap', 'found', 'missing', 'returned', 'sold', 'sample', 'gift'))
);
INSERT INTO "line" VALUES(1,3,'supplier','','ASH-22','B1',NULL,NULL,NULL,-3000000);
INSERT INTO "line" VALUES(2,3,'rack','','ASH-22','B1',1,NULL,NULL,3000000);
INSERT INTO "line" VALUES(3,3,'supplier','','ASH-22','B1',NULL,NULL,NULL,-3000000);
INSERT INTO "line" VALUES(4,3,'rack','','ASH-22','B1',2,NULL,NULL,3000000);
INSERT INTO "line" VALUES(5,5,'rack','','ASH-22','B1',1,NULL,NULL,-3000000);
INSERT INTO "line" VALUES(6,5,'rails','','ASH-22','B1',NULL,1,0,535000);
INSERT INTO "line" VALUES(7,5,'rails','','ASH-22','B1',NULL,1,2,535000);
INSERT INTO "line" VALUES(8,5,'rails','','ASH-22','B1',NULL,1,1,435000);
INSERT INTO "line" VALUES(9,5,'rails','','ASH-22','B1',NULL,1,3,435000);
INSERT INTO "line" VALUES(10,5,'scrap','end trim','ASH-22','B1',NULL,NULL,NULL,10000);
INSERT INTO "line" VALUES(11,5,'saw','','ASH-22','B1',NULL,NULL,NULL,20104);
INSERT INTO "line" VALUES(12,5,'rack','','ASH-22','B1',3,NULL,NULL,1029896);
INSERT INTO "line" VALUES(13,13,'supplier','','ASH-22','B1',NULL,NULL,NULL,-3000000);
INSERT INTO "line" VALUES(14,13,'rack','','ASH-22','B1',4,NULL,NULL,3000000);
INSERT INTO "line" VALUES(15,14,'rack','','ASH-22','B1',4,NULL,NULL,-3000000);
INSERT INTO "line" VALUES(16,14,'sold','','ASH-22','B1',NULL,NULL,NULL,1200000);
INSERT INTO "line" VALUES(17,14,'scrap','end trim','ASH-22','B1',NULL,NULL,NULL,10000);
INSERT INTO "line" VALUES(18,14,'saw','','ASH-22','B1',NULL,NULL,NULL,5026);
INSERT INTO "line" VALUES(19,14,'rack','','ASH-22','B1',5,NULL,NULL,1784974);
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
INSERT INTO "move" VALUES(3,3,'C2',5,NULL);
INSERT INTO "move" VALUES(4,2,'B2',6,7);
INSERT INTO "move" VALUES(5,4,'A1',13,NULL);
INSERT INTO "move" VALUES(6,5,'A1',14,NULL);
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
	far_end VARCHAR NOT NULL, longest_um INTEGER, motif_um INTEGER, grade VARCHAR DEFAULT '' NOT NULL, owner VARCHAR DEFAULT '' NOT NULL, 
	CONSTRAINT pk_piece PRIMARY KEY (id), 
	CONSTRAINT fk_piece_left_in FOREIGN KEY(left_in) REFERENCES entry (id), 
	CONSTRAINT ck_piece_kind_known CHECK (kind IN ('stick', 'offcut')), 
	CONSTRAINT fk_piece_profile_code FOREIGN KEY(profile_code) REFERENCES profile (code), 
	CONSTRAINT fk_piece_parent_id FOREIGN KEY(parent_id) REFERENCES piece (id), 
	CONSTRAINT fk_piece_came_in FOREIGN KEY(came_in) REFERENCES entry (id), 
	CONSTRAINT ck_piece_label_end_known CHECK (label_end IN ('factory', 'cut', 'square')), 
	CONSTRAINT ck_piece_far_end_known CHECK (far_end IN ('factory', 'cut', 'square'))
);
INSERT INTO "piece" VALUES(1,'ASH-22','B1','stick',NULL,3,5,'2026-11-23','','factory','factory',NULL,NULL,'','');
INSERT INTO "piece" VALUES(2,'ASH-22','B1','stick',NULL,3,NULL,'2026-11-23','','factory','factory',NULL,NULL,'','');
INSERT INTO "piece" VALUES(3,'ASH-22','B1','offcut',1,5,NULL,'2026-11-23','','cut','factory',NULL,NULL,'','');
INSERT INTO "piece" VALUES(4,'ASH-22','B1','stick',NULL,13,14,'2026-11-23','','factory','factory',NULL,NULL,'','');
INSERT INTO "piece" VALUES(5,'ASH-22','B1','offcut',4,14,NULL,'2026-11-23','','square','factory',600000,12000,'second','C. Voss');
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
INSERT INTO "plan" VALUES(1,'2026-11-27 22:58:26.626776','2026-11-23','ada','finished','2026-11-30','{"rules": {"cut_allowance_mm": 5.026, "end_trim_mm": 0, "keep_mm": 0, "margin_mm": 0}, "profiles": {"ASH-22": {"cut_allowance_mm": 5.026, "end_trim_mm": 10, "keep_mm": 300, "margin_mm": 0}}, "pieces": [{"id": "1", "profile": "ASH-22", "batch": "B1", "kind": "stick", "length_mm": 3000, "ends": ["factory", "factory"], "flaws_mm": [], "since": "2026-11-23"}, {"id": "2", "profile": "ASH-22", "batch": "B1", "kind": "stick", "length_mm": 3000, "ends": ["factory", "factory"], "flaws_mm": [], "since": "2026-11-23"}], "frames": [{"id": "J1", "profile": "ASH-22", "rails_mm": [535, 435, 535, 435], "one_batch": false, "one_piece": false, "pin": null, "due": "2026-11-27"}], "worth": {}, "aims": "ordered", "limits": {"seconds": 5, "workers": 1}}','{
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
   "leftover_mm": 1029.896,
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
 "seconds": 3.455,
 "why_opened": {
  "1": "for J1: at least 3000 mm of sticks must be opened for these frames"
 },
 "why_pinned": {}
}','{"frames": {"J1": [1, 0, 1, 2, 3]}, "pins": {}, "barred": [], "without": [], "aims": "ordered", "profile": null, "ahead": 0, "stock": false, "why_opened": {"1": "for J1: at least 3000 mm of sticks must be opened for these frames"}}',4,5);
INSERT INTO "plan" VALUES(2,'2026-11-27 22:58:26.626776','2026-11-23','ada','accepted','2026-11-30','{"rules": {"cut_allowance_mm": 5.026, "end_trim_mm": 0, "keep_mm": 0, "margin_mm": 0}, "profiles": {"ASH-22": {"cut_allowance_mm": 5.026, "end_trim_mm": 10, "keep_mm": 300, "margin_mm": 0}}, "pieces": [{"id": "2", "profile": "ASH-22", "batch": "B1", "kind": "stick", "length_mm": 3000, "ends": ["factory", "factory"], "flaws_mm": [], "since": "2026-11-23"}, {"id": "3", "profile": "ASH-22", "batch": "B1", "kind": "offcut", "length_mm": 1029.5, "ends": ["cut", "factory"], "flaws_mm": [], "since": "2026-11-23"}], "frames": [{"id": "J2.1", "profile": "ASH-22", "rails_mm": [535, 435, 535, 435], "one_batch": false, "one_piece": false, "pin": null, "due": "2026-11-27"}, {"id": "J2.2", "profile": "ASH-22", "rails_mm": [535, 435, 535, 435], "one_batch": false, "one_piece": false, "pin": null, "due": "2026-11-27"}], "worth": {}, "aims": "ordered", "limits": {"seconds": 5, "workers": 1}}','{
 "cuts": [
  {
   "piece": "3",
   "stretch": 0,
   "rails": [
    {
     "frame": "J2.2",
     "rail": 2,
     "length_mm": 535
    },
    {
     "frame": "J2.2",
     "rail": 3,
     "length_mm": 435
    }
   ],
   "leftover_mm": 49.448,
   "kept": false
  },
  {
   "piece": "2",
   "stretch": 0,
   "rails": [
    {
     "frame": "J2.1",
     "rail": 0,
     "length_mm": 535
    },
    {
     "frame": "J2.1",
     "rail": 2,
     "length_mm": 535
    },
    {
     "frame": "J2.2",
     "rail": 0,
     "length_mm": 535
    },
    {
     "frame": "J2.1",
     "rail": 1,
     "length_mm": 435
    },
    {
     "frame": "J2.1",
     "rail": 3,
     "length_mm": 435
    },
    {
     "frame": "J2.2",
     "rail": 1,
     "length_mm": 435
    }
   ],
   "leftover_mm": 49.844,
   "kept": false
  }
 ],
 "short": [],
 "reached": {
  "frames_cut": 2,
  "stick_opened_mm": 3000,
  "worth_mm": -965.284
 },
 "bounds": {
  "frames_cut": 2,
  "stick_opened_mm": 3000,
  "worth_mm": -965.284
 },
 "proof": "optimal",
 "seconds": 0.124,
 "why_opened": {
  "2": "for J2.1, J2.2: at least 3000 mm of sticks must be opened for these frames"
 },
 "why_pinned": {}
}','{"frames": {"J2.1": [2, 0, 1, 2, 3], "J2.2": [3, 0, 1, 2, 3]}, "pins": {}, "barred": [], "without": [], "aims": "ordered", "profile": null, "ahead": 0, "stock": false, "why_opened": {"2": "for J2.1, J2.2: at least 3000 mm of sticks must be opened for these frames"}}',9,NULL);
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
INSERT INTO "planpiece" VALUES(2,3,0,9,NULL);
INSERT INTO "planpiece" VALUES(2,2,1,9,NULL);
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
INSERT INTO "planrail" VALUES(5,2,3,0,0,3,2,535000,9,NULL);
INSERT INTO "planrail" VALUES(6,2,3,0,1,3,3,435000,9,NULL);
INSERT INTO "planrail" VALUES(7,2,2,0,0,2,0,535000,9,NULL);
INSERT INTO "planrail" VALUES(8,2,2,0,1,2,2,535000,9,NULL);
INSERT INTO "planrail" VALUES(9,2,2,0,2,3,0,535000,9,NULL);
INSERT INTO "planrail" VALUES(10,2,2,0,3,2,1,435000,9,NULL);
INSERT INTO "planrail" VALUES(11,2,2,0,4,2,3,435000,9,NULL);
INSERT INTO "planrail" VALUES(12,2,2,0,5,3,1,435000,9,NULL);
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
	machine VARCHAR DEFAULT ('') NOT NULL, 
	wait_cost VARCHAR, repeat_um INTEGER, price_breaks VARCHAR, 
	CONSTRAINT pk_profile PRIMARY KEY (code), 
	CONSTRAINT fk_profile_supplier_code FOREIGN KEY(supplier_code) REFERENCES supplier (code), 
	CONSTRAINT ck_profile_margin_not_negative CHECK (margin_um >= 0), 
	CONSTRAINT ck_profile_minimum_not_negative CHECK (minimum_sticks >= 0), 
	CONSTRAINT ck_profile_face_positive CHECK (face_um > 0), 
	CONSTRAINT ck_profile_stick_longer_than_trims CHECK (stick_length_um > 2 * end_trim_um), 
	CONSTRAINT ck_profile_keep_and_trim_not_negative CHECK (keep_um >= 0 AND end_trim_um >= 0), 
	CONSTRAINT ck_profile_kind_known CHECK (kind IN ('rabbeted', 'float', 'plain'))
);
INSERT INTO "profile" VALUES('ASH-22','LARK','ash','rabbeted',22000,6000,14000,NULL,NULL,NULL,3000000,1850,NULL,0,300000,10000,2,'',NULL,0,NULL,NULL,NULL,'',NULL,NULL,'10: 17.20; 40: 16.00');
INSERT INTO "profile" VALUES('LEAF-40','LARK','leaf','rabbeted',40000,6000,14000,NULL,NULL,NULL,3000000,NULL,NULL,1,300000,10000,0,'',NULL,0,NULL,NULL,NULL,'',NULL,NULL,NULL);
INSERT INTO "profile" VALUES('FLOAT-12','LARK','float','float',12000,NULL,NULL,12000,38000,NULL,3000000,NULL,NULL,0,300000,10000,0,'',NULL,0,NULL,NULL,NULL,'',NULL,NULL,NULL);
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
CREATE TABLE seal (
	name VARCHAR NOT NULL, 
	count INTEGER NOT NULL, 
	digest VARCHAR NOT NULL, 
	CONSTRAINT pk_seal PRIMARY KEY (name)
);
INSERT INTO "seal" VALUES('batch',1,'fce89be30a6b7203f9a70e38281af114a0354cacf952cfca0e321b642322ea7f');
INSERT INTO "seal" VALUES('flaw',0,'0000000000000000000000000000000000000000000000000000000000000000');
INSERT INTO "seal" VALUES('frame',4,'a335e1bf33ea7932e03370083be333591f7cc04db7f53a10493d2aa37dbd5c25');
INSERT INTO "seal" VALUES('job',3,'14803196bd5d22774642ddf44bfcce59e10db5531ee45594113cd8619dcb29ea');
INSERT INTO "seal" VALUES('move',6,'11208a2867954cc3a6bb5d364be43f1c688c6f21ca0767f167d5fd39763fa26a');
INSERT INTO "seal" VALUES('piece',5,'7aade7611131734fb972219ce9f673f9cb1d3fd308e046b523fc5930f1b020a4');
INSERT INTO "seal" VALUES('plan',2,'eebbaf6fa39700d49f171c4bb1f5dcf0d4ebdc01467a3b2230cdee003dad181c');
INSERT INTO "seal" VALUES('planpiece',3,'8e8f66459fea24daa793d842afddb8f6fa44b759fb2b4fd5ec40ab1dc79f15cb');
INSERT INTO "seal" VALUES('planrail',12,'b8baee70c2c2b4d8efc1d86d1a9da59dba4d492bb7e88bc7f7a8818cef106655');
INSERT INTO "seal" VALUES('profile',3,'35423d557a5fd10b0aa40f2291e41c94ae8d5821391dae926e8c065d36d56904');
INSERT INTO "seal" VALUES('purchase',0,'0000000000000000000000000000000000000000000000000000000000000000');
INSERT INTO "seal" VALUES('purchaseline',0,'0000000000000000000000000000000000000000000000000000000000000000');
INSERT INTO "seal" VALUES('receipt',0,'0000000000000000000000000000000000000000000000000000000000000000');
INSERT INTO "seal" VALUES('setting',29,'56df0f0c40cbe3cdbb8b215df1e8481b8da03f614c8ea390f01fd38613b296f4');
INSERT INTO "seal" VALUES('supplier',1,'4be689c6e5e2b3f4528f48d51a5796910e0fafb64875cabef20d460f55cfab8c');
INSERT INTO "seal" VALUES('entry',16,'e0b25fca9db7d030abe749bd4077e614112e94144eefe7a3fa624e8c882a7a06');
CREATE TABLE setting (
	name VARCHAR NOT NULL, 
	value VARCHAR NOT NULL, 
	CONSTRAINT pk_setting PRIMARY KEY (name)
);
INSERT INTO "setting" VALUES('name','The workshop');
INSERT INTO "setting" VALUES('unit','mm');
INSERT INTO "setting" VALUES('step','');
INSERT INTO "setting" VALUES('machine','main');
INSERT INTO "setting" VALUES('machines','{}');
INSERT INTO "setting" VALUES('cutter','saw');
INSERT INTO "setting" VALUES('kerf_um','3200');
INSERT INTO "setting" VALUES('clean_up_um','500');
INSERT INTO "setting" VALUES('stop','long point');
INSERT INTO "setting" VALUES('shortest_um','150000');
INSERT INTO "setting" VALUES('widest_um','');
INSERT INTO "setting" VALUES('tallest_um','');
INSERT INTO "setting" VALUES('gap_um','');
INSERT INTO "setting" VALUES('allowance_um','');
INSERT INTO "setting" VALUES('overlap_um','');
INSERT INTO "setting" VALUES('cover_least_um','');
INSERT INTO "setting" VALUES('cover_most_um','');
INSERT INTO "setting" VALUES('bench_days','0');
INSERT INTO "setting" VALUES('closed','sat sun');
INSERT INTO "setting" VALUES('currency','$');
INSERT INTO "setting" VALUES('timezone','UTC');
INSERT INTO "setting" VALUES('seconds','10');
INSERT INTO "setting" VALUES('ahead','0');
INSERT INTO "setting" VALUES('fixings','1/3');
INSERT INTO "setting" VALUES('one_person_kg','15');
INSERT INTO "setting" VALUES('one_person_um','1200000');
INSERT INTO "setting" VALUES('labels','letter 3x10 of 66.675x25.4 from 4.7625x12.7 every 69.85x25.4');
INSERT INTO "setting" VALUES('label_code','qr');
INSERT INTO "setting" VALUES('backups','beside the record');
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
INSERT INTO "touch" VALUES(4,'plan','1');
INSERT INTO "touch" VALUES(4,'piece','1');
INSERT INTO "touch" VALUES(4,'job','1');
INSERT INTO "touch" VALUES(5,'plan','1');
INSERT INTO "touch" VALUES(5,'piece','1');
INSERT INTO "touch" VALUES(5,'piece','3');
INSERT INTO "touch" VALUES(5,'job','1');
INSERT INTO "touch" VALUES(6,'piece','2');
INSERT INTO "touch" VALUES(7,'piece','2');
INSERT INTO "touch" VALUES(8,'job','2');
INSERT INTO "touch" VALUES(9,'plan','2');
INSERT INTO "touch" VALUES(9,'piece','3');
INSERT INTO "touch" VALUES(9,'piece','2');
INSERT INTO "touch" VALUES(9,'job','2');
INSERT INTO "touch" VALUES(10,'job','3');
INSERT INTO "touch" VALUES(11,'job','1');
INSERT INTO "touch" VALUES(12,'job','1');
INSERT INTO "touch" VALUES(13,'profile','ASH-22');
INSERT INTO "touch" VALUES(13,'piece','4');
INSERT INTO "touch" VALUES(14,'piece','4');
INSERT INTO "touch" VALUES(14,'piece','5');
INSERT INTO "touch" VALUES(15,'piece','5');
INSERT INTO "touch" VALUES(16,'profile','ASH-22');
CREATE INDEX ix_entry_day ON entry (day);
CREATE UNIQUE INDEX uq_entry_reverses ON entry (reverses);
CREATE INDEX ix_plan_accepted_in ON "plan" (accepted_in);
CREATE INDEX ix_plan_closed_in ON "plan" (closed_in);
CREATE INDEX ix_plan_state ON "plan" (state);
CREATE INDEX ix_flaw_lifted_in ON flaw (lifted_in);
CREATE INDEX ix_flaw_marked_in ON flaw (marked_in);
CREATE INDEX ix_flaw_piece_id ON flaw (piece_id);
CREATE INDEX ix_frame_done_in ON frame (done_in);
CREATE INDEX ix_frame_dropped_in ON frame (dropped_in);
CREATE INDEX ix_move_lifted_in ON move (lifted_in);
CREATE INDEX ix_move_moved_in ON move (moved_in);
CREATE INDEX ix_move_piece_id ON move (piece_id);
CREATE INDEX ix_planpiece_held_in ON planpiece (held_in);
CREATE INDEX ix_planpiece_settled_in ON planpiece (settled_in);
CREATE UNIQUE INDEX uq_planpiece_held ON planpiece (piece_id) WHERE settled_in IS NULL;
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
CREATE INDEX ix_piece_left_in ON piece (left_in);
CREATE INDEX ix_piece_open ON piece (profile_code) WHERE left_in IS NULL;
CREATE INDEX ix_piece_parent_id ON piece (parent_id);
CREATE INDEX ix_piece_came_in ON piece (came_in);
CREATE INDEX ix_job_taken_in ON job (taken_in);
CREATE INDEX ix_job_state_due ON job (state, due);
CREATE INDEX ix_job_profile_code ON job (profile_code);
CREATE INDEX ix_job_staged ON job (taken_in) WHERE stage <> '';
CREATE INDEX ix_line_piece_id ON line (piece_id);
CREATE INDEX ix_line_frame_id_rail ON line (frame_id, rail);
CREATE INDEX ix_line_entry_id ON line (entry_id);
CREATE INDEX ix_frame_job_id ON frame (job_id);
CREATE UNIQUE INDEX uq_frame_job_id_number_layer ON frame (job_id, number, layer) WHERE dropped_in IS NULL;
CREATE INDEX ix_frame_profile_code ON frame (profile_code) WHERE profile_code IS NOT NULL;
CREATE INDEX ix_job_match_job ON job (match_job) WHERE match_job IS NOT NULL;
CREATE INDEX ix_profile_supplier_code ON profile (supplier_code);
COMMIT;
